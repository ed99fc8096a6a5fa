using static RefillPlanner.Service.Demo.DemoDevices;
using static RefillPlanner.Service.Demo.DemoProducts;

namespace RefillPlanner.Service.Demo;

/// <summary>What prescriptions, dates on containers, sizes and the patient's state do to the plan.</summary>
internal static class DemoPlanningCourses
{
    /// <summary>Adds courses 501 to 509.</summary>
    public static void AddTo(DemoDesk demo)
    {
        // No refills left: the prescriber is asked first.
        demo.Course(501, -40, Units50, rx: new DemoRx(-42, Refills: 1)).Step(Semaglutide, "0.5").Fills(Semaglutide, 1, every: 28, times: 2);

        // Schedule III: the fifth refill is used, and six months since issue end within days.
        demo.Course(502, -150, OneMl, rx: new DemoRx(-172, Refills: 5, Schedule: "III")).Step(Testosterone, "80").Fills(Testosterone, 1, every: 28, times: 6);

        // Early fill blocks: the dose was doubled six days ago, the supply was billed for eight weeks.
        demo.Course(503, -34, OneMl).Step(Tirzepatide, "2.5").Fill(-34, Tirzepatide, 1, supply: 28).Fill(-8, Tirzepatide, 2, supply: 56).Ladder(-6).Step(Tirzepatide, "5");

        // Days' supply disagrees: billed 50 days by division, the 28-day limit ends it before.
        demo.Course(504, -20, Units50).Step(Glargine, "20", every: 1).Fill(-20, Glargine, 1, supply: 50);

        // A beyond-use date passes unopened: both vials end in twelve days, one is still sealed.
        demo.Course(505, -7, Units50).Step(Semaglutide, "0.5").Fill(-7, Semaglutide, 2, supply: 56, keeps: 19);

        // Two sizes of one product, one stock.
        demo.Course(506, -31, OneMl).Step(Tirzepatide, "2.5").Fill(-31, Tirzepatide, 1, supply: 28).Fill(-4, TirzepatideSmall, 1, supply: 21);

        // Covered beyond the horizon: two vials of ten monthly doses. Second course of one patient.
        demo.Course(507, -60, OneMl, patient: 508).Step(Cyanocobalamin, "1000", every: 28).Fill(-60, Cyanocobalamin, 2, supply: 365, keeps: null);

        // Single-dose vials of a hazardous medicine, weekly, with a sharps container of their own.
        demo.Course(508, -16, OneMl).Step(Methotrexate, "15").Fill(-16, Methotrexate, 4, supply: 28, keeps: 60);

        // In care: no mail, no open tasks.
        demo.Course(509, -33).Step(GlarginePen, "16", every: 1).Fill(-33, GlarginePen, 3, supply: 48);
    }
}
