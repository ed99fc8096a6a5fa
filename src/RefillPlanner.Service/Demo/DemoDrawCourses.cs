using static RefillPlanner.Service.Demo.DemoDevices;
using static RefillPlanner.Service.Demo.DemoProducts;

namespace RefillPlanner.Service.Demo;

/// <summary>Doses that the syringe, the pen or the product does not take as ordered.</summary>
internal static class DemoDrawCourses
{
    /// <summary>Adds courses 301 to 307.</summary>
    public static void AddTo(DemoDesk demo)
    {
        // Rounded: 0.34 mg is 0.136 mL, the nearest mark 0.14 mL.
        demo.Course(301, -26, Units50).Step(Semaglutide, "0.34").Fill(-26, Semaglutide, 2, supply: 56);

        // Off the marks: 70 mg is 0.35 mL, between two lines of a 3 mL syringe.
        demo.Course(302, -33, ThreeMl, rx: new DemoRx(-35, Refills: 5, Schedule: "III")).Step(Testosterone, "70").Fills(Testosterone, 1, every: 28, times: 2);

        // Not computed: 500 units/mL and a U-100 barrel would be a five-fold error.
        demo.Course(303, -12, Units100).Step(RegularStrong, "50", every: 1).Fill(-12, RegularStrong, 1, supply: 40);

        // Not computed: a weekly medicine entered as daily.
        demo.Course(304, -3, Units50).Step(Semaglutide, "0.25", every: 1).Fill(-3, Semaglutide, 1, supply: 20);

        // Not computed: 30 mg ordered, the syringe holds 40 mg. No e-mail address.
        demo.Course(305, -5).Step(Enoxaparin, "30", every: 1).Fill(-5, Enoxaparin, 14, supply: 14, keeps: 365);

        // Off the dial: half a unit on a pen that turns whole units.
        demo.Course(306, -30).Step(GlarginePen, "10.5", every: 1).Fill(-30, GlarginePen, 2, supply: 56);

        // Not computed: a decimal point slipped; 0.01 mg lies below the first mark.
        demo.Course(307, -2, Units50).Step(Semaglutide, "0.01").Fill(-2, Semaglutide, 1, supply: 28);
    }
}
