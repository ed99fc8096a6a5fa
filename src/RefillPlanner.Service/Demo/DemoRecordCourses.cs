using static RefillPlanner.Service.Demo.DemoDevices;
using static RefillPlanner.Service.Demo.DemoProducts;

namespace RefillPlanner.Service.Demo;

/// <summary>Facts that change what was planned: pauses, missed doses, recalls, counts, parcels, ends.</summary>
internal static class DemoRecordCourses
{
    /// <summary>Adds courses 401 to 412.</summary>
    public static void AddTo(DemoDesk demo)
    {
        // Paused with an end: one dose is skipped, the weekday stays.
        Weekly(demo, 401, -46).Fills(Semaglutide, 1, every: 28, times: 2).Paused(-6, until: 2);

        // Paused, and nobody has said until when.
        Weekly(demo, 402, -60).Fills(Semaglutide, 1, every: 28, times: 2).Paused(-12);

        // Missed twice in a row: a pharmacist looks before the next dose.
        Weekly(demo, 403, -45).Fills(Semaglutide, 1, every: 28, times: 2).Fact("missed", -10).Fact("missed", -3);

        // Recalled lot: both vials of it are discarded, one of another lot is left. No sharps container on record.
        Weekly(demo, 404, -30).Fill(-30, Semaglutide, 2, supply: 56, lot: "LOT-MIST-1").Fill(-3, Semaglutide, 1, supply: 28, lot: "LOT-DEW-2")
            .Fact("discarded", -1, ("product_id", Semaglutide), ("lot", "LOT-MIST-1"));

        // Count below record: one vial fewer than the record has.
        demo.Course(405, -40, Units50).Step(Glargine, "24", every: 1).Fill(-40, Glargine, 2, supply: 56).Fill(-14, Glargine, 2, supply: 56).Counted(-2, Glargine, 1, 6);

        // Count above record: pens brought from elsewhere; nobody knows since when the open one is open.
        demo.Course(406, -5).Step(GlarginePen, "12", every: 1).Counted(-5, GlarginePen, 2, 1.5m);

        // Cold parcel on its way longer than expected: arrival unconfirmed.
        Weekly(demo, 407, -30).Fill(-30, Semaglutide, 1, supply: 28).Fill(-6, Semaglutide, 1, supply: 28, arrives: -4);

        // Cold parcel sent and received.
        Weekly(demo, 408, -30).Fill(-30, Semaglutide, 1, supply: 28).Fill(-7, Semaglutide, 1, supply: 28, arrives: -5).Received(-4);

        // Ends: all 28 syringes are in hand, no refill is wanted.
        demo.Course(409, -12).Step(Enoxaparin, "40", every: 1, days: 28).Fill(-12, Enoxaparin, 28, supply: 28, keeps: 365);

        // Ended by the prescriber four days ago.
        Weekly(demo, 410, -39).Fills(Semaglutide, 1, every: 28, times: 2).Fact("ended", -4);

        // The fill came late: one dose had no stock. Lives in another time zone than the site.
        Weekly(demo, 411, -36).Fill(-36, Semaglutide, 1, supply: 28).Fill(-5, Semaglutide, 1, supply: 28);

        // A second vial was opened while the first still held a dose.
        demo.Course(412, -20, Units50).Step(Glargine, "22", every: 1).Fill(-20, Glargine, 2, supply: 56).Fact("opened", -6, ("product_id", Glargine));
    }

    private static DemoCourse Weekly(DemoDesk demo, int number, int start) => demo.Course(number, start, Units50).Step(Semaglutide, "0.5");
}
