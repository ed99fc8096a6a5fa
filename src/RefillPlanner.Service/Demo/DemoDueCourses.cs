using static RefillPlanner.Service.Demo.DemoDevices;
using static RefillPlanner.Service.Demo.DemoProducts;

namespace RefillPlanner.Service.Demo;

/// <summary>Refills that fall due, and what makes supply end sooner than division says.</summary>
internal static class DemoDueCourses
{
    /// <summary>Adds courses 101 to 112.</summary>
    public static void AddTo(DemoDesk demo)
    {
        // Late: the patient should have been asked last week, and is without in two days.
        demo.Course(101, -54, Units50).Step(Semaglutide, "0.5").Fills(Semaglutide, 1, every: 28, times: 2);

        // Due today (on a closed day: on the next open one).
        var runOut = demo.RunOutIfAskedOn(demo.FirstOpenDay, prepareOpenDays: 1);
        demo.Course(102, runOut - 56, OneMl).Step(Tirzepatide, "2.5").Fills(Tirzepatide, 1, every: 28, times: 2);

        // Due in a week.
        runOut = demo.RunOutIfAskedOn(demo.OpenDayInAWeek, prepareOpenDays: 1);
        demo.Course(103, runOut - 56, Units50).Step(Semaglutide, "0.25").Fills(Semaglutide, 1, every: 28, times: 2);

        // Pen priming: each 20 units cost 22, so a pen of 300 units gives 13 doses, not 15.
        demo.Course(104, -45).Step(GlarginePen, "20", every: 1).Fill(-45, GlarginePen, 3, supply: 39).Fill(-8, GlarginePen, 2, supply: 26);

        // The 28-day limit binds: half of each vial is thrown away. Texts in Spanish.
        demo.Course(105, -44, Units50).Step(Glargine, "18", every: 1).Fills(Glargine, 1, every: 28, times: 2);

        // Long dead space: a 1 mL vial gives two doses of 0.25 mL, not four. Opted out of mail.
        demo.Course(106, -17, LongNeedle).Step(TirzepatideSmall, "2.5").Fill(-17, TirzepatideSmall, 2, supply: 56);

        // First priming: what a new pen loses once costs its tenth dose.
        demo.Course(107, -11).Step(GlargineStrongPen, "42", every: 1).Fill(-11, GlargineStrongPen, 3, supply: 30);

        // Prefilled syringes: one is one dose.
        demo.Course(108, -8).Step(Enoxaparin, "40", every: 1).Fill(-8, Enoxaparin, 14, supply: 14, keeps: 365);

        // Split dose: 42 units on a 30-unit barrel are two injections. The sharps container is overdue.
        demo.Course(109, -101, Units30).Step(Glargine, "42", every: 1).Fills(Glargine, 1, every: 23, times: 5);

        // Two doses a day; on the last day only the first fits. No agreement to mail.
        demo.Course(110, -8, Units50).Step(Nph, "20;30", every: 1).Fill(-8, Nph, 1, supply: 20);

        // Late as well, and never agreed to mail: could not be reached, call.
        demo.Course(112, -54, Units50).Step(Semaglutide, "0.5").Fills(Semaglutide, 1, every: 28, times: 2);

        // Three doses a day, second course of one patient. The sharps container is nearly full.
        demo.Course(111, -46, patient: 104).Step(AspartPen, "6;8;8", every: 1).Fill(-46, AspartPen, 4, supply: 40).Fill(-8, AspartPen, 3, supply: 30);
    }
}
