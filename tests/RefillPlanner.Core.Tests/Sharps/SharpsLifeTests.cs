using System;
using System.Linq;
using RefillPlanner.Core.Sharps;
using Xunit;

namespace RefillPlanner.Core.Tests.Sharps;

/// <summary>The states of a sharps container and the moves between them (planning model, section 5).</summary>
public sealed class SharpsLifeTests
{
    [Theory]
    [InlineData(SharpsState.Issued, SharpsState.NoticeSent)]
    [InlineData(SharpsState.NoticeSent, SharpsState.Returned)]
    [InlineData(SharpsState.NoticeSent, SharpsState.Overdue)]
    [InlineData(SharpsState.Overdue, SharpsState.Returned)]
    [InlineData(SharpsState.Overdue, SharpsState.WrittenOff)]
    public void The_moves_of_the_model_are_one_move_each(SharpsState from, SharpsState to) => Assert.Equal([to], SharpsLife.ListMoves(from, to));

    [Fact]
    public void A_container_found_overdue_after_weeks_without_the_program_was_given_notice_first() =>
        Assert.Equal([SharpsState.NoticeSent, SharpsState.Overdue], SharpsLife.ListMoves(SharpsState.Issued, SharpsState.Overdue));

    [Fact]
    public void Every_state_can_be_reached_by_allowed_moves_when_the_record_is_corrected()
    {
        foreach (var from in Enum.GetValues<SharpsState>())
        {
            foreach (var to in Enum.GetValues<SharpsState>())
            {
                var path = SharpsLife.ListMoves(from, to).Prepend(from).ToArray();
                Assert.Equal(to, path[^1]);
                Assert.All(path.Zip(path.Skip(1)), move => Assert.True(SharpsLife.Allows(move.First, move.Second), $"{move.First} to {move.Second}"));
            }
        }
    }
}
