using System.Linq;
using NodaTime;
using Xunit;

namespace RefillPlanner.Store.Tests;

public sealed class MailboxTests
{
    [Fact]
    public void How_far_a_mailbox_is_read_is_kept()
    {
        using var shelf = new Shelf();
        Assert.Equal((new MailboxMark(0, 0), null), shelf.Read(transaction => (transaction.Mailbox.FindMark(), transaction.Mailbox.FindReadAt())));

        // UIDs and UIDVALIDITY go to 2^32 - 1 (RFC 3501, section 2.3.1.1).
        shelf.Write(transaction =>
        {
            transaction.Mailbox.Keep(new MailboxMark(uint.MaxValue, uint.MaxValue));
            transaction.Mailbox.KeepReadAt(Shelf.Now);
        });
        Assert.Equal((new MailboxMark(uint.MaxValue, uint.MaxValue), (Instant?)Shelf.Now), shelf.Read(transaction => (transaction.Mailbox.FindMark(), transaction.Mailbox.FindReadAt())));
    }

    [Fact]
    public void Patients_are_found_by_address_in_capitals_or_small_letters_and_by_nothing_else()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            transaction.Ledger.Put(Shelf.Patient with { Id = "P-2", Email = "MARL@Example.net" });
            transaction.Ledger.Put(Shelf.Patient with { Id = "P-3", Email = "marl@example.net.invalid" });
            transaction.Ledger.Put(Shelf.Patient with { Id = "P-4", Email = null });
        });
        Assert.Equal(["P", "P-2"], shelf.Read(transaction => transaction.Ledger.ListPatientsByEmail("Marl@example.NET").Select(patient => patient.Id).ToArray()));
        Assert.Empty(shelf.Read(transaction => transaction.Ledger.ListPatientsByEmail("%@example.net")));
    }
}
