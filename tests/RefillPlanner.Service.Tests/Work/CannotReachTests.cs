using System;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>Patients whom the mail about their next supply does not reach are called, over the demo of Monday, March 2, 2026.</summary>
public sealed class CannotReachTests
{
    private static readonly LocalDate Today = new(2026, 3, 2);
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 15, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task M5_A_mail_that_was_refused_is_a_call_in_the_same_run_until_the_answer_is_on_record()
    {
        using var bench = await Bench.LivedAsync(Start, Today, new Delivery(DeliveryOutcome.Refused, "550 no such user"));
        var call = bench.Tasks().Values.First(task => task.Task.Kind == TaskKind.CannotReach && task.Task.Reason.StartsWith("Call: the mail did not reach the patient. ", StringComparison.Ordinal));
        var (key, courseId) = (call.Task.Key.Text, call.Task.CourseId!);
        Assert.Equal((TaskState.Planned, Today), (call.State, call.Task.DueOn));
        var contact = bench.Tasks()[key.Replace("cannot-reach", "refill-contact", StringComparison.Ordinal)];
        Assert.Equal(TaskState.Waiting, contact.State);

        // Planned again, and on the days that follow, it is still to be made.
        bench.Import($"fact_id,course_id,kind,on,note\r\nF-L,{courseId},answered,2026-03-02,later\r\n");
        await bench.LiveUntilAsync(Instant.FromUtc(2026, 3, 3, 15, 0));
        Assert.True(TaskLife.IsOpen(bench.Tasks()[key].State));
        bench.Import($"fact_id,course_id,kind,on,note\r\nF-Y,{courseId},answered,2026-03-03,yes\r\n");
        bench.Planning.Run();
        Assert.Equal((TaskState.Done, TaskState.Done), (bench.Tasks()[key].State, bench.Tasks()[contact.Task.Key.Text].State));
    }

    [Fact]
    public async Task Whoever_opts_out_is_called_and_is_not_when_a_new_agreement_is_on_record()
    {
        using var bench = await Bench.LivedAsync(Start, Today, new Delivery(DeliveryOutcome.Accepted, "250 taken"));
        var contact = bench.Tasks().Values.First(task => task.Task.Kind == TaskKind.RefillContact && task.State == TaskState.Waiting).Task;
        Put(bench, contact.PatientId, patient => patient with { EmailOptedOutOn = Today });
        bench.Planning.Run();
        var key = contact.Key.Text.Replace("refill-contact", "cannot-reach", StringComparison.Ordinal);
        Assert.StartsWith("Call: opted out of e-mail. ", bench.Tasks()[key].Task.Reason, StringComparison.Ordinal);
        Put(bench, contact.PatientId, patient => patient with { EmailAgreedOn = Today.PlusDays(1) });
        bench.Planning.Run();
        Assert.Equal(TaskState.Withdrawn, bench.Tasks()[key].State);
    }

    [Fact]
    public async Task A_call_that_was_made_stays_so_while_the_question_is_open()
    {
        using var bench = await Bench.LivedAsync(Start, Today, new Delivery(DeliveryOutcome.Refused, "550 no such user"));
        var key = bench.Tasks().Values.First(task => task.Task.Kind == TaskKind.CannotReach).Task.Key.Text;
        Assert.Null(new TaskTicking(bench.Desk, new PatientPlanning(bench.Desk)).Do(key, new TaskRequest(TaskRequestKind.Done, "Bo Brace", "called, thinks about it", To: null), isDryRun: false).Refusal);
        await bench.LiveUntilAsync(Instant.FromUtc(2026, 3, 5, 15, 0));
        Assert.Equal(TaskState.Done, bench.Tasks()[key].State);
        Assert.True(TaskLife.IsOpen(bench.Tasks()[key.Replace("cannot-reach", "refill-contact", StringComparison.Ordinal)].State));
    }

    private static void Put(Bench bench, string patientId, Func<Patient, Patient> change)
    {
        using var transaction = bench.Desk.Database.Begin();
        transaction.Ledger.Put(change(transaction.Ledger.FindPatient(patientId)!));
        transaction.Commit();
    }
}
