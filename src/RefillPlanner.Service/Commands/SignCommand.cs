using System.CommandLine;
using System.IO;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Service.Work;
using TimeProvider = System.TimeProvider;

namespace RefillPlanner.Service.Commands;

/// <summary><c>sign</c>: a pharmacist's decision about the step to come.</summary>
internal static class SignCommand
{
    private const string StepBack = "step-back";

    public static Command Build(TextWriter output, TimeProvider time)
    {
        var course = new Argument<string>("COURSE") { Description = "Id of the course." };
        var decision = new Argument<string>("DECISION") { Description = "approve, hold or step-back." };
        decision.AcceptOnlyFromAmong("approve", "hold", StepBack);
        var by = new Option<string?>("--by") { Description = "Name of the pharmacist who decides.", HelpName = "NAME" };
        var step = new Option<int?>("--step") { Description = "The step. Default: the one that is asked first.", HelpName = "N" };
        var from = SharedOptions.Date("--from", "approve: first day, where later than prescribed. step-back: first dosing day of the new ladder; default: today.");
        var until = SharedOptions.Date("--until", "hold: the step does not begin before this date.");
        var note = new Option<string?>("--note") { Description = "What else is to be kept with the decision.", HelpName = "TEXT" };
        var steps = new Option<string?>("--steps") { Description = "step-back: file with the new ladder, as steps.csv of a roster.", HelpName = "FILE" };
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var today = SharedOptions.Today("As if it were this day, for trying out.");
        var command = new Command("sign", """
            Records a pharmacist's decision about the coming step of a course, and plans its patient anew in the same breath. Until somebody signs, a step
            with a check is held back, and the doses of the step before go on. A dose that is rounded to a mark, or a jump, is signed the same way where no check
            asks, as in step 1: before that the patient is shown no mark.

            Examples:
              refill-planner sign C-104 approve --by "Ann Awl, RPh"
              refill-planner sign C-104 approve --step 1 --by "Ann Awl, RPh"
              refill-planner sign C-104 hold --until 2026-04-27 --by "Ann Awl, RPh" --note "nausea for a week"
            """) { course, decision, by, step, from, until, note, steps, data, config, today };
        command.SetAction(result =>
        {
            var name = result.GetValue(by)?.Trim();
            if (string.IsNullOrEmpty(name))
                throw new CommandException(ExitCode.Usage, "A decision needs a name: give --by with the pharmacist who decides.");
            var file = result.GetValue(steps);
            var courseId = result.GetValue(course)!;
            if (result.GetValue(decision) == StepBack && file is null)
                throw new CommandException(ExitCode.Usage, HowToStepBack(courseId));
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), result.GetValue(today) ?? time);
            var signing = new CourseSigning(premises.Desk, new PatientPlanning(premises.Desk));
            var outcome = result.GetValue(decision) == StepBack
                ? signing.StepBack(courseId, Read(file!), result.GetValue(from), name)
                : signing.Sign(courseId, new StepDecision(result.GetValue(decision) == "approve", result.GetValue(step), result.GetValue(from), result.GetValue(until), name, result.GetValue(note)));
            if (outcome.Fact is not Fact fact)
                throw new CommandException(ExitCode.BadInput, outcome.Refusal!);
            output.Write(SigningText.Of(fact, outcome.Course!, outcome.Plan!, name));
            return ExitCode.Done;
        });
        return command;
    }

    private static string Read(string file)
    {
        try
        {
            return File.ReadAllText(file);
        }
        catch (System.Exception failure) when (failure is IOException or System.UnauthorizedAccessException)
        {
            throw new CommandException(ExitCode.BadInput, $"{file} cannot be read: {failure.Message}");
        }
    }

    private static string HowToStepBack(string courseId) => $"""
        A step back is a new ladder, which the prescriber decides. Write its steps into a file as steps.csv of a roster, with the next free ladder number:
          course_id,ladder,step,product_id,doses,every_days,dose_days
          {courseId},2,1,P-7,0.25 mg,7,4
          {courseId},2,2,P-7,0.5 mg,7,
        Then: refill-planner sign {courseId} {StepBack} --steps FILE --from DATE --by NAME
        """;
}
