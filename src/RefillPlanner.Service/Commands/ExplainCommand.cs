using System;
using System.CommandLine;
using System.IO;
using System.Linq;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Commands;

/// <summary><c>explain</c>: the working of one course, as a person would check it.</summary>
internal static class ExplainCommand
{
    public static Command Build(TextWriter output, TimeProvider time)
    {
        var course = new Argument<string>("COURSE") { Description = "Id of the course." };
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var asOf = SharedOptions.Date("--as-of", "The date; before its doses. Default: today at the site.");
        var command = new Command("explain", """
            Prints the walk of one course: each container opened, what was drawn and lost, why it was closed, the run-out, and each date with the rule that made it.

            Examples:
              refill-planner explain C-104
              refill-planner explain C-104 --as-of 2026-03-02
            """) { course, data, config, asOf };
        command.SetAction(result =>
        {
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), time);
            var id = result.GetValue(course)!;
            foreach (var (snapshot, plan) in ProjectCommand.Plans(premises.Desk, result.GetValue(asOf), id, Refuse))
            {
                var (one, of) = snapshot.Courses.Zip(plan.Courses).FirstOrDefault(pair => pair.First.Course.Id == id);
                if (one is null)
                    continue;
                output.Write(CourseExplanation.Of(one, of, premises.Desk.Settings.PolicyOf(one.Site.Id)));
                return ExitCode.Done;
            }

            throw new CommandException(ExitCode.BadInput, $"There is no course {id}.");
        });
        return command;
    }

    private static void Refuse(string patientId, string why) => throw new CommandException(ExitCode.Away, $"Patient {patientId} is not computed: {why}");
}
