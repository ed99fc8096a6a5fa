using static RefillPlanner.Service.Demo.DemoDevices;
using static RefillPlanner.Service.Demo.DemoProducts;

namespace RefillPlanner.Service.Demo;

/// <summary>Dose increases in every state of their check.</summary>
internal static class DemoStepUpCourses
{
    private const int CheckAndAlertOpenDays = 5 + 3;

    /// <summary>Adds courses 201 to 209.</summary>
    public static void AddTo(DemoDesk demo)
    {
        // Unchecked: the pharmacist's alert falls due today (on a closed day: on the next open one).
        var stepUp = demo.OpenDayAfter(demo.FirstOpenDay, CheckAndAlertOpenDays);
        Titration(demo, 201, stepUp - 28).Fill(stepUp - 28, Semaglutide, 2, supply: 56);

        // Approved: the step starts in six days as prescribed.
        Titration(demo, 202, -22).Fill(-22, Semaglutide, 2, supply: 56).Approved(-2, step: 2);

        // Held until a date: nausea; the step stays back until then, and until somebody signs.
        Titration(demo, 203, -25).Fill(-25, Semaglutide, 2, supply: 56).Held(-3, step: 2, until: 17);

        // Held back because nobody signed: the step should have started eight days ago.
        Titration(demo, 204, -36).Fill(-36, Semaglutide, 2, supply: 56);

        // Waived: the prescription says that no check is wanted.
        demo.Course(205, -24, Units50).Step(Semaglutide, "0.25", days: 4).Step(Semaglutide, "0.5", check: false).Fill(-24, Semaglutide, 2, supply: 56);

        // Signed too early: the third step was signed together with the second.
        Titration(demo, 206, -50).Fill(-50, Semaglutide, 2, supply: 56).Fill(-4, Semaglutide, 1, supply: 28).Approved(-25, step: 2).Approved(-25, step: 3);

        // Ladder restarted: the higher dose was not tolerated; a step back two days ago.
        Titration(demo, 207, -44).Fill(-44, Semaglutide, 2, supply: 56).Fill(-5, Semaglutide, 1, supply: 28).Approved(-18, step: 2).Ladder(-2).Step(Semaglutide, "0.25");

        // Dose jump: three times the dose before. Texts in Spanish.
        demo.Course(208, -20, OneMl).Step(Tirzepatide, "2.5", days: 4).Step(Tirzepatide, "7.5").Fill(-20, Tirzepatide, 2, supply: 56);

        // The new step calls for another strength, of which the patient has none; shipped.
        demo.Course(209, -14, OneMl).Step(Tirzepatide, "2.5", days: 4).Step(TirzepatideStrong, "5").Fill(-14, Tirzepatide, 1, supply: 28).Fill(-1, Tirzepatide, 1, supply: 28, arrives: 0);
    }

    private static DemoCourse Titration(DemoDesk demo, int number, int start) => demo.Course(number, start, Units50)
        .Step(Semaglutide, "0.25", days: 4)
        .Step(Semaglutide, "0.5", days: 4)
        .Step(Semaglutide, "1");
}
