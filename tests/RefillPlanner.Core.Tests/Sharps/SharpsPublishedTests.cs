using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Runtime.CompilerServices;
using System.Text.RegularExpressions;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Core.Tests.Sharps;

/// <summary>Sharps in the home against what is published, each source beside its test; Monday, March 2, 2026 is the as-of date.</summary>
public sealed class SharpsPublishedTests
{
    private static readonly LocalDate Monday = new(2026, 3, 2);
    private static readonly Site Site = new() { Id = "S", Name = "S", TimeZone = "America/New_York", ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday] };
    private static readonly Patient Patient = new() { Id = "P", Name = "P", SiteId = "S" };
    private static readonly Product Vial = new() { Id = "V", Drug = "insulin NPH", Kind = ProductKind.MultiDoseVial, Unit = DoseUnit.Units, Strength = new(Amount.From(100), Volume.FromMl(1)), Volume = Volume.FromMl(10) };
    private static readonly Device Syringe = new() { Id = "D", Name = "1 mL", Capacity = Volume.FromMl(1), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Units, UnitsPerMl = 100 };

    // Source (R): FDA text on sharps in the home: disposed of when about three quarters full.
    [Theory]
    [InlineData(40, 30)]
    [InlineData(50, 37)] // 37.5: rounded down, so never later
    [InlineData(1, 0)]
    public void The_fill_line_is_three_quarters_of_the_capacity(int capacity, int fillLine) =>
        Assert.Equal(fillLine, Plan([Daily("C")], Container("SH", capacity)).Sharps.Single().FillLine);

    // Source (2): suppliers' guides: "2 gallons" hold 150 to 600 1-mL syringes. The capacity is what the label says, not a table by size.
    [Fact]
    public void Two_containers_of_one_size_fill_up_on_the_days_of_their_own_capacity()
    {
        Assert.Equal(Monday.PlusDays(111), Plan([Daily("C")], Container("SH", 150)).Sharps.Single().FillLineOn); // 112 sharps
        Assert.Null(Plan([Daily("C")], Container("SH", 600)).Sharps.Single().FillLineOn); // 450 sharps: beyond the horizon of 400 days
    }

    // Source (R): California Health and Safety Code 118286 forbids the household trash; other places allow it when contained. USPS Publication 52,
    // 6D: mail-back only by systems that the postal service has authorised. Both differ by place: the words are the site's, the program has none.
    [Fact]
    public void No_text_of_the_program_says_that_sharps_go_into_the_trash_or_by_mail()
    {
        var texts = Directory.GetFiles(Path.Combine(Root(), "config", "templates"));
        Assert.True(texts.Length >= 14);
        Assert.All(texts, file => Assert.DoesNotMatch(Rule("trash|garbage|rubbish|household|basura|mail-?back|by mail|send it|sen[dt] back|postal|USPS|por correo postal|env[ií]e"), File.ReadAllText(file)));
    }

    // How to inject stands on the sheet, which goes with what the pharmacist showed; a notice by mail says nothing about it.
    [Fact]
    public void No_notice_says_how_to_inject()
    {
        var texts = Directory.GetFiles(Path.Combine(Root(), "config", "templates"), "*patient*");
        Assert.NotEmpty(texts);
        Assert.All(texts, file => Assert.DoesNotMatch(Rule("degrees|grados|angle|ángulo|inch|pulgada|navel|ombligo|pinch|alcohol|bubble|burbuja"), File.ReadAllText(file)));
    }

    // Planning model, section 5: used = injections over all courses of the patient.
    [Fact]
    public void Sharps_are_counted_per_patient_over_all_courses()
    {
        var forecast = Plan([Daily("C1"), Daily("C2") with { Steps = [Step("C2") with { EveryDays = 2 }] }], Container("SH", 40)).Sharps.Single();
        Assert.Equal(Monday.PlusDays(19), forecast.FillLineOn); // 20 daily ones and 10 on every second day: the 30th
    }

    // The fill of March 19 serves March 22 to April 18; the 30th of 40 sharps is used on March 31.
    [Fact]
    public void The_next_container_goes_with_the_last_refill_handed_over_on_or_before_the_fill_line()
    {
        var plan = Plan([Daily("C")], Container("SH", 40));
        Assert.Contains(new RefillSupply(RefillSupplyKind.SharpsContainer, null, 1), plan.Courses[0].Refill!.Supplies);
        Assert.DoesNotContain(Tasks(plan), SharpsTasks.IsReplacement);
    }

    [Fact]
    public void Of_two_courses_only_the_refill_handed_over_last_takes_it_along()
    {
        var plan = Plan([Daily("C1"), Daily("C2", fills: 2)], Container("SH", 100)); // 75 sharps at two a day: April 8; refills on March 19 and April 8
        Assert.Equal(["C2"], plan.Courses.Where(course => course.Refill!.Supplies.Any(supply => supply.Kind == RefillSupplyKind.SharpsContainer)).Select(course => course.CourseId));
    }

    [Fact]
    public void Where_no_refill_comes_in_time_it_is_a_task_of_its_own_on_the_day_of_the_notice()
    {
        // 12 sharps are the line of 16: March 13; the first refill is handed over on March 19.
        var plan = Plan([Daily("C")], Container("SH", 16));
        var replacement = Assert.Single(Tasks(plan), SharpsTasks.IsReplacement);
        Assert.Equal(new LocalDate(2026, 3, 6), replacement.PlannedOn);
        Assert.False(CourseTasks.IsForPatient(replacement));
        Assert.All(plan.Courses, course => Assert.DoesNotContain(course.Refill!.Supplies, supply => supply.Kind == RefillSupplyKind.SharpsContainer));

        // With the next one out already there is nothing to send; then the need was met.
        var next = Container("SH-2", 16) with { IssuedOn = Monday.PlusDays(1) };
        var later = PlanningPipeline.Plan([Daily("C")], [Container("SH", 16), next], Policy.Default, Monday.PlusDays(1));
        Assert.DoesNotContain(Tasks(later), task => SharpsTasks.IsReplacement(task) && task.SharpsId == "SH");
        var record = new TaskOnRecord { Task = replacement, State = TaskState.Due, ChangedAt = Instant.FromUtc(2026, 3, 6, 12, 30), ChangedBy = TaskLife.Planner, Version = 2 };
        Assert.True(SharpsTasks.IsMet(record, [Container("SH", 16), next], Monday.PlusDays(1)));
    }

    // Planning model, section 5: issued -> notice sent -> overdue, a row for staff each week -> written off, and no more of it.
    [Fact]
    public void One_that_does_not_come_back_is_a_row_each_week_until_it_is_written_off()
    {
        var container = Container("SH", 16); // fill line on March 13, to be back by March 27
        Assert.Equal(["first notice"], Cycles(container, new LocalDate(2026, 3, 6)));
        Assert.Equal(["first notice", "second notice"], Cycles(container, new LocalDate(2026, 3, 13)));
        Assert.Equal(["week 1"], Cycles(container, new LocalDate(2026, 3, 28)));
        Assert.Equal(["week 2"], Cycles(container, new LocalDate(2026, 4, 4)));
        Assert.Empty(Cycles(container with { WrittenOffOn = new LocalDate(2026, 4, 10) }, new LocalDate(2026, 4, 10)));
        Assert.Empty(Cycles(container with { ReturnedOn = new LocalDate(2026, 4, 10) }, new LocalDate(2026, 4, 10)));
    }

    // 12 sharps are the line of 16, on March 13. The next one goes out early, on Monday, March 9, with seven sharps in the first.
    [Fact]
    public void One_that_was_replaced_before_it_was_full_is_asked_back_from_the_day_of_the_next_one()
    {
        var (old, next) = (Container("SH", 16), Container("SH-2", 16) with { IssuedOn = Monday.PlusDays(7) });
        SharpsForecast Old(LocalDate on, SharpsContainer container) => PlanningPipeline.Plan([Daily("C")], [container, next], Policy.Default, on).Sharps[0];
        var before = Old(Monday.PlusDays(6), old);
        Assert.Equal((new LocalDate(2026, 3, 13), null, SharpsState.NoticeSent), (before.FillLineOn, before.ReplacedOn, before.State));
        var replaced = Old(Monday.PlusDays(7), old);
        Assert.Equal((7, null, new LocalDate(2026, 3, 9), new LocalDate(2026, 3, 9), new LocalDate(2026, 3, 23)), (replaced.Used, replaced.FillLineOn, replaced.ReplacedOn!.Value, replaced.NoticeOn!.Value, replaced.ReturnByOn!.Value));

        string[] Asked(LocalDate on, SharpsContainer container) => [.. SharpsTasks.List(Patient, [Old(on, container)], new WorkHours(Site, Patient, Policy.Default, on)).Select(task => task.Key.Text)];
        Assert.Equal(["sharps-return/SH/replaced"], Asked(new LocalDate(2026, 3, 9), old));
        Assert.Equal(["sharps-return/SH/replaced"], Asked(new LocalDate(2026, 3, 23), old));
        Assert.Equal(["sharps-overdue/SH/week 1"], Asked(new LocalDate(2026, 3, 24), old));
        Assert.Equal(["sharps-overdue/SH/week 2"], Asked(new LocalDate(2026, 3, 31), old));
        Assert.Empty(Asked(new LocalDate(2026, 3, 24), old with { ReturnedOn = new LocalDate(2026, 3, 20) }));
        Assert.Empty(Asked(new LocalDate(2026, 3, 24), old with { WrittenOffOn = new LocalDate(2026, 3, 20) }));
        var task = Assert.Single(SharpsTasks.List(Patient, [replaced], new WorkHours(Site, Patient, Policy.Default, Monday.PlusDays(7))));
        Assert.Equal("The next container went out on Monday, March 9, 2026, before this one was full; to be returned by Monday, March 23, 2026.", task.Reason);
        Assert.True(CourseTasks.IsForPatient(task));
    }

    [Fact]
    public void One_that_was_full_when_the_next_one_went_out_is_asked_back_by_its_own_fill_line()
    {
        var plan = PlanningPipeline.Plan([Daily("C")], [Container("SH", 16), Container("SH-2", 16) with { IssuedOn = new LocalDate(2026, 3, 16) }], Policy.Default, new LocalDate(2026, 3, 18));
        Assert.Equal((new LocalDate(2026, 3, 13), null, new LocalDate(2026, 3, 27)), (plan.Sharps[0].FillLineOn!.Value, plan.Sharps[0].ReplacedOn, plan.Sharps[0].ReturnByOn!.Value));
    }

    // Two handed out on one day: the second takes all, and there is nothing in the first to be brought back.
    [Fact]
    public void An_empty_one_is_not_asked_back() =>
        Assert.Null(PlanningPipeline.Plan([Daily("C")], [Container("SH", 16), Container("SH-2", 16)], Policy.Default, Monday.PlusDays(3)).Sharps[0].ReplacedOn);

    [Fact]
    public void One_for_hazardous_waste_does_not_replace_an_ordinary_one()
    {
        var hazardous = Daily("C2") with { Products = new Dictionary<string, Product> { ["V"] = Vial with { Hazardous = true } } };
        var own = Container("SH-2", 16) with { IssuedOn = Monday.PlusDays(3), ContainerClass = "hazardous" };
        Assert.Null(PlanningPipeline.Plan([Daily("C"), hazardous], [Container("SH", 16), own], Policy.Default, Monday.PlusDays(5)).Sharps[0].ReplacedOn);
    }

    private static string[] Cycles(SharpsContainer container, LocalDate on)
    {
        var plan = PlanningPipeline.Plan([Daily("C")], [container], Policy.Default, on);
        return [.. SharpsTasks.List(Patient, plan.Sharps, new WorkHours(Site, Patient, Policy.Default, on)).Where(task => !SharpsTasks.IsReplacement(task)).Select(task => task.Key.Text.Split('/')[2])];
    }

    private static IReadOnlyList<PlannedTask> Tasks(PatientPlan plan) => SharpsTasks.List(Patient, plan.Sharps, new WorkHours(Site, Patient, Policy.Default, plan.Courses[0].AsOf));

    private static PatientPlan Plan(IReadOnlyList<CourseSnapshot> courses, SharpsContainer container) => PlanningPipeline.Plan(courses, [container], Policy.Default, Monday);

    private static SharpsContainer Container(string id, int capacity) => new() { Id = id, PatientId = "P", Capacity = capacity, IssuedOn = Monday };

    private static Step Step(string course) => new() { CourseId = course, Number = 1, ProductId = "V", Doses = [Amount.From(50)], EveryDays = 1 };

    // 50 units (0.5 mL) a day from vials of 10 mL: 20 days from each, run-out on March 22 with one.
    private static CourseSnapshot Daily(string id, int fills = 1) => new()
    {
        Course = new Course { Id = id, PatientId = "P", StartedOn = Monday, DeviceId = "D" },
        Patient = Patient,
        Site = Site,
        Steps = [Step(id)],
        Products = new Dictionary<string, Product> { ["V"] = Vial },
        Devices = new Dictionary<string, Device> { ["D"] = Syringe },
        Facts = [new Fact { Id = "F", CourseId = id, Kind = FactKind.Dispensed, On = Monday, ProductId = "V", Containers = fills }],
    };

    private static Regex Rule(string words) => new(words, RegexOptions.IgnoreCase | RegexOptions.CultureInvariant, System.TimeSpan.FromSeconds(1));

    private static string Root([CallerFilePath] string here = "")
    {
        var folder = new DirectoryInfo(Path.GetDirectoryName(here)!);
        while (!File.Exists(Path.Combine(folder.FullName, "RefillPlanner.sln")))
            folder = folder.Parent!;
        return folder.FullName;
    }
}
