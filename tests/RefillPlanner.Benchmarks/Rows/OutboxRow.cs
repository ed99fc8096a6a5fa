using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.Linq;
using System.Threading;
using NodaTime;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Peers;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>F8: the outbox drained - each message looked at once more, composed, durable before and after - against <c>smtp-source</c> into the same <c>smtp-sink</c>.</summary>
internal static class OutboxRow
{
    private const string Row = "F8";
    private const int Rounds = 5;

    // The planner is a service: what the compiler makes of it in the first seconds is not what it runs as.
    private const int WarmUps = 5;

    public static void Measure(BenchmarkRun run)
    {
        using var sink = MailSink.Find();
        if (sink is null)
        {
            run.Report.Skip(Row, "the outbox drained", "smtp-sink and smtp-source are not installed (Debian: postfix)");
            return;
        }

        var desk = PlannerDesk.Open(run.Workplace.Planned(int.Min(run.Options.Courses, 10_000)));
        using (desk.Database)
        {
            var count = run.Options.Short ? 200 : 4_000;
            var mail = new MailSettings { Host = "127.0.0.1", Port = sink.Port, Security = MailSecurity.Plain };
            var patients = ListReachable(desk, mail, ListPatients(desk, count), run.Report);
            var (ours, kept, anew) = (new List<double>(), new List<double>(), new List<double>());
            var bytes = 0;
            for (var round = 0; round < (run.Options.Short ? 1 : WarmUps + Rounds); round++)
            {
                bytes = Queue(desk, patients, round);
                ours.Add(Drain(desk, mail, patients.Count, run.Report));
                kept.Add(sink.SourceTime(patients.Count, bytes, isKept: true));
                anew.Add(sink.SourceTime(patients.Count, bytes, isKept: false));
            }

            if (run.Options.Short)
                return;
            var (middle, middleKept, middleAnew) = (Timing.Median(ours[WarmUps..]), Timing.Median(kept[WarmUps..]), Timing.Median(anew[WarmUps..]));
            run.Report.Add(Row, $"{Figures.Count(patients.Count)} messages composed, marked, sent over 4 connections, marked", Each(middle, patients.Count), $"{Each(middleKept, patients.Count)} smtp-source, one connection, kept", middleKept / middle, new Goal(1.2, AtLeast: true));
            run.Report.Add(Row, "the same", Each(middle, patients.Count), $"{Each(middleAnew, patients.Count)} smtp-source, a connection a message", middleAnew / middle);
            run.Report.Remark($"F8: messages of {Figures.Count(bytes)} bytes on both sides, into the same smtp-sink, in turns, middle of {Rounds} after {WarmUps} that do not count; each patient is planned once more to see whether the mail may still go; synchronous=FULL.");
        }
    }

    private static string Each(double nanoseconds, int count) => $"{count / (nanoseconds / 1e9):#,##0} messages a second";

    private static List<string> ListPatients(Desk desk, int count)
    {
        using var reading = desk.Database.Read();
        return [.. reading.Ledger.ListPatients().Where(patient => patient.MayBeMailed && patient.TimeZone is null).Take(count).Select(patient => patient.Id)];
    }

    // Those who have lapsed get no mail, and say so.
    private static List<string> ListReachable(Desk desk, MailSettings mail, List<string> patients, Report report)
    {
        Queue(desk, patients, round: -1);
        Drain(desk, mail, count: null, report);
        using var reading = desk.Database.Read();
        var lapsed = reading.Outbox.List(MessageState.Suppressed).Select(message => message.Message.PatientId).ToHashSet();
        report.Check(Row, $"{Figures.Count(lapsed.Count)} of {Figures.Count(patients.Count)} patients have lapsed and got nothing", lapsed.Count < patients.Count / 100);
        return [.. patients.Where(patient => !lapsed.Contains(patient))];
    }

    // One mail for each patient about a task of theirs, as the work itself writes it; the length of the last one.
    private static int Queue(Desk desk, IReadOnlyList<string> patients, int round)
    {
        var planning = new PatientPlanning(desk);
        var letters = new PatientLetters(new MailComposer(new MailTemplates(), new MailSettings()));
        using var transaction = desk.Database.Begin();
        OutgoingMessage? last = null;
        Site? site = null;
        foreach (var patientId in patients)
        {
            var snapshot = transaction.Snapshots.Find(patientId)!;
            var (plan, hours) = planning.Work(snapshot, desk.Now);
            PlannedTask[] tasks = [.. transaction.Tasks.ListOfPatient(patientId).Where(task => TaskLife.IsOpen(task.State)).Take(2).Select(task => task.Task)];
            var message = letters.Compose(snapshot, plan, hours, tasks, desk.Now, desk.Now);
            var key = new MessageKey($"{message.Key}/{round}");
            last = message with { Key = key, MessageId = $"{round}.{message.MessageId}" };
            site = snapshot.Courses[0].Site;
            transaction.Outbox.Add(last);
        }

        transaction.Commit();
        using var bytes = new System.IO.MemoryStream();
        MimeLetter.Find(last!, site, new MailSettings())!.WriteTo(bytes);
        return (int)bytes.Length;
    }

    private static double Drain(Desk desk, MailSettings mail, int? count, Report report)
    {
        var composer = new MailComposer(new MailTemplates(), mail);
        var delivery = new OutboxDelivery(desk, new SendingCheck(desk, new PatientLetters(composer)), new MailPauses(desk, composer), MailRoutes.Of(mail, string.Empty, TimeProvider.System));
        var began = Stopwatch.GetTimestamp();
        var accepted = delivery.SendAllAsync(CancellationToken.None).GetAwaiter().GetResult();
        var took = Stopwatch.GetElapsedTime(began).TotalNanoseconds;
        if (count is int expected)
            report.Check(Row, $"{Figures.Count(accepted)} of {Figures.Count(expected)} messages accepted", accepted == expected);
        return took;
    }
}
