using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;
using Xunit;

namespace RefillPlanner.Service.Tests.Stories;

/// <summary>
/// Nine months of a patient, day by day, through the service over a SQLite file: what became due, for whom and why, which mails went, what people
/// did. The files beside these tests are to be read by a pharmacist. To write them anew set REFILL_PLANNER_STORIES to this folder.
/// </summary>
public sealed class StoryTests
{
    private const string Sites = "site_id,name,time_zone,closed_weekdays,closed_on,staff_email,pharmacist_email,manager_email,sender_email,phone\nS-1,Invented Pharmacy,America/New_York,sat;sun,2026-01-19;2026-02-16;2026-05-25;2026-06-19;2026-07-03;2026-09-07,staff@example.org,pharmacist@example.org,manager@example.org,pharmacy@example.org,555-0100\n";
    private const string Patients = "patient_id,name,site_id,born_on,phone,email,email_agreed_on\nPT-1,Alder Fictus,S-1,1968-04-24,555-0123,patient@example.org,2026-01-02\n";
    private const string Devices = "device_id,name,capacity_ml,graduation_ml,marked_in,units_per_ml,dead_space_ml\nD-U100,1 mL U-100 syringe,1,0.01,units,100,0.002\nD-ML,1 mL syringe,1,0.01,ml,,0.03\n";
    private const string CourseHeader = "course_id,patient_id,started_on,device_id,fill_days\n";
    private const string StepHeader = "course_id,ladder,step,product_id,doses,every_days,dose_days\n";
    private const string FactHeader = "fact_id,course_id,kind,on,product_id,containers,expires_on,lot,days_supply\n";
    private const string RxHeader = "rx_id,course_id,issued_on,refills_authorized,schedule,prescriber,prescriber_phone\n";
    private static readonly LocalDate Start = new(2026, 1, 5);
    private static readonly LocalDate End = new(2026, 10, 5);

    /// <summary>Weekly peptide, 2.5 mg/mL in vials of 2 mL, made up to order, 28 days in use.</summary>
    [Fact]
    public Task A_weekly_titration_with_one_hold_and_one_step_back() => CheckAsync("weekly-titration", new StoryScript
    {
        From = Start,
        Until = End,
        Roster = Roster(
            "product_id,drug,kind,unit,amount_per_ml,volume_ml,in_use_days,beyond_use_days,prepare_open_days,check_prompts\nP-SEMA,semaglutide,multi-dose-vial,mg,2.5,2,28,60,1,Nausea? Weight? Missed doses?\n",
            "C-1,PT-1,2026-01-05,D-U100,28\n",
            "C-1,1,1,P-SEMA,0.25 mg,7,4\nC-1,1,2,P-SEMA,0.5 mg,7,4\nC-1,1,3,P-SEMA,1 mg,7,4\nC-1,1,4,P-SEMA,1.7 mg,7,\n",
            "F-1,C-1,dispensed,2026-01-05,P-SEMA,1,2026-03-06,LOT-1,28\n",
            "R-1,C-1,2026-01-02,5,,Dr. Invented,555-0177\n",
            sharps: "SH-1,PT-1,40,2026-01-05\n"),

        // Step 3 is held for nausea the first time it is asked.
        Decide = (_, check, today) => check.Step == 3 && today < new LocalDate(2026, 3, 1) ? (false, new LocalDate(2026, 3, 30)) : (true, null),
    }
        .On("2026-02-09", (pharmacy, day) => pharmacy.Record("C-1", FactKind.Missed, day))
        .On("2026-06-17", (pharmacy, _) => pharmacy.StepBack("C-1", StepHeader + "C-1,2,1,P-SEMA,1 mg,7,8\nC-1,2,2,P-SEMA,1.7 mg,7,\n", new LocalDate(2026, 6, 22)))
        .On("2026-09-07", (pharmacy, day) => pharmacy.Record("C-1", FactKind.Paused, day, ("until", "2026-09-28"))));

    /// <summary>NPH insulin, 20 and 14 units a day from vials of 10 mL with 28 days in use; the dose is changed twice.</summary>
    [Fact]
    public Task Insulin_twice_daily_with_dose_changes() => CheckAsync("insulin-twice-daily", new StoryScript
    {
        From = Start,
        Until = End,
        Roster = Roster(
            "product_id,drug,kind,unit,amount_per_ml,volume_ml,in_use_days\nP-NPH,insulin NPH,multi-dose-vial,units,100,10,28\n",
            "C-1,PT-1,2026-01-05,D-U100,28\n",
            "C-1,1,1,P-NPH,20 units;14 units,1,\n",
            "F-1,C-1,dispensed,2026-01-05,P-NPH,1,2027-06-30,LOT-1,28\n",
            "R-1,C-1,2026-01-02,11,,Dr. Invented,555-0177\n",
            sharps: "SH-1,PT-1,200,2026-01-05\n"),
    }
        .On("2026-03-18", (pharmacy, _) => pharmacy.StepBack("C-1", StepHeader + "C-1,2,1,P-NPH,26 units;16 units,1,\n", new LocalDate(2026, 3, 19)))
        .On("2026-05-11", (pharmacy, day) => pharmacy.Record("C-1", FactKind.Missed, day))
        .On("2026-05-12", (pharmacy, day) => pharmacy.Record("C-1", FactKind.Missed, day))
        .On("2026-07-15", (pharmacy, _) => pharmacy.StepBack("C-1", StepHeader + "C-1,3,1,P-NPH,30 units;20 units,1,\n", new LocalDate(2026, 7, 16))));

    /// <summary>Prefilled syringes for the first twelve weeks, then a pen.</summary>
    [Fact]
    public Task From_prefilled_syringes_to_a_pen() => CheckAsync("prefilled-to-pen", new StoryScript
    {
        From = Start,
        Until = End,
        Roster = Roster(
            "product_id,drug,kind,unit,amount_per_ml,volume_ml,dose_amount,in_use_days,dial_step,dial_max,prime_ml\nP-PRE,dulaglutide,prefilled-syringe,mg,,,0.75,,,,\nP-PEN,semaglutide,pen,mg,1.34,1.5,,56,0.25,0.5,0.05\n",
            "C-1,PT-1,2026-01-05,,28\n",
            "C-1,1,1,P-PRE,0.75 mg,7,12\nC-1,1,2,P-PEN,0.25 mg,7,4\nC-1,1,3,P-PEN,0.5 mg,7,\n",
            "F-1,C-1,dispensed,2026-01-05,P-PRE,4,2026-12-31,LOT-1,28\n",
            "R-1,C-1,2026-01-02,11,,Dr. Invented,555-0177\n",
            sharps: "SH-1,PT-1,30,2026-01-05\n"),
    });

    /// <summary>Schedule III: five refills and six months at the most (21 CFR 1306.22); the prescriber is away and renews nothing.</summary>
    [Fact]
    public Task Testosterone_to_the_end_of_its_lawful_refills() => CheckAsync("testosterone-schedule-three", new StoryScript
    {
        From = Start,
        Until = End,
        Renewal = null,
        Roster = Roster(
            "product_id,drug,kind,unit,amount_per_ml,volume_ml,in_use_days\nP-TEST,testosterone cypionate,multi-dose-vial,mg,200,1,28\n",
            "C-1,PT-1,2026-01-05,D-ML,28\n",
            "C-1,1,1,P-TEST,50 mg,7,\n",
            "F-1,C-1,dispensed,2026-01-05,P-TEST,2,2027-06-30,LOT-1,28\n",
            "R-1,C-1,2026-01-05,11,III,Dr. Invented,555-0177\n",
            sharps: "SH-1,PT-1,40,2026-01-05\n"),
    });

    /// <summary>Two insulins that run out eleven days apart are brought to one day, and stay there.</summary>
    [Fact]
    public Task Two_courses_aligned() => CheckAsync("two-courses-aligned", new StoryScript
    {
        From = Start,
        Until = End,
        Daily = (pharmacy, day) => pharmacy.Align("C-1", day),
        Roster = Roster(
            "product_id,drug,kind,unit,amount_per_ml,volume_ml,in_use_days,dial_step,dial_max,prime_ml\nP-GLAR,insulin glargine,pen,units,100,3,28,1,80,0.02\nP-ASP,insulin aspart,pen,units,100,3,28,1,60,0.02\n",
            "C-1,PT-1,2026-01-05,,28\nC-2,PT-1,2026-01-05,,28\n",
            "C-1,1,1,P-GLAR,24 units,1,\nC-2,1,1,P-ASP,6 units;8 units;8 units,1,\n",
            "F-1,C-1,dispensed,2026-01-05,P-GLAR,3,2027-06-30,LOT-1,34\nF-2,C-2,dispensed,2026-01-05,P-ASP,5,2027-06-30,LOT-2,51\n",
            "R-1,C-1,2026-01-02,11,,Dr. Invented,555-0177\nR-2,C-2,2026-01-02,11,,Dr. Invented,555-0177\n",
            sharps: "SH-1,PT-1,400,2026-01-05\n"),
    });

    private static Dictionary<string, string> Roster(string products, string courses, string steps, string facts, string prescriptions, string sharps) => new()
    {
        ["sites.csv"] = Sites,
        ["patients.csv"] = Patients,
        ["devices.csv"] = Devices,
        ["products.csv"] = products,
        ["courses.csv"] = CourseHeader + courses,
        ["steps.csv"] = StepHeader + steps,
        ["facts.csv"] = FactHeader + facts,
        ["prescriptions.csv"] = RxHeader + prescriptions,
        ["sharps.csv"] = "sharps_id,patient_id,capacity_sharps,issued_on\n" + sharps,
    };

    private static async Task CheckAsync(string name, StoryScript script)
    {
        var told = await script.LiveAsync();
        if (Environment.GetEnvironmentVariable("REFILL_PLANNER_STORIES") is string folder)
            await File.WriteAllTextAsync(Path.Combine(folder, $"{name}.story.txt"), told, TestContext.Current.CancellationToken);
        await using var stream = typeof(StoryTests).Assembly.GetManifestResourceStream($"{name}.story.txt");
        using var reader = stream is null ? null : new StreamReader(stream);
        var expected = reader is null ? string.Empty : await reader.ReadToEndAsync(TestContext.Current.CancellationToken);
        Assert.Equal(expected.ReplaceLineEndings("\n").Split('\n'), told.Split('\n'));
    }
}
