using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using Xunit;

namespace RefillPlanner.Service.Tests.Demo;

/// <summary>Course snapshots of a valid roster: only as much of reading as the computation of supply wants.</summary>
internal static class RosterSnapshots
{
    public static IReadOnlyDictionary<string, CourseSnapshot> Read(RosterText roster)
    {
        var products = roster.Rows("products.csv").Select(ProductOf).ToDictionary(product => product.Id);
        var devices = roster.Rows("devices.csv").Select(DeviceOf).ToDictionary(device => device.Id);
        var site = new Site { Id = "S", Name = "site", TimeZone = "UTC" };
        return roster.Rows("courses.csv").ToDictionary(row => row["course_id"], row => new CourseSnapshot
        {
            Course = new Course
            {
                Id = row["course_id"],
                PatientId = row["patient_id"],
                StartedOn = Date(row, "started_on")!.Value,
                DeviceId = row.GetValueOrDefault("device_id"),
                Expelled = Ml(row, "expelled_ml") ?? Volume.Zero,
            },
            Patient = new Patient { Id = row["patient_id"], Name = "patient", SiteId = "S" },
            Site = site,
            Products = products,
            Devices = devices,
            Steps = [.. roster.Rows("steps.csv").Where(step => step["course_id"] == row["course_id"]).Select(StepOf)],
            Facts = [.. roster.Rows("facts.csv").Where(fact => fact["course_id"] == row["course_id"]).Select(FactOf)],
        });
    }

    private static Product ProductOf(IReadOnlyDictionary<string, string> row)
    {
        Assert.True(Kebab.TryParse<ProductKind>(row["kind"], out var kind));
        Assert.True(Kebab.TryParse<DoseUnit>(row["unit"], out var unit));
        var volume = Ml(row, "volume_ml");
        return new Product
        {
            Id = row["product_id"],
            Drug = row["drug"],
            Kind = kind.Value,
            Unit = unit.Value,
            Strength = Quantity(row, "amount_per_ml") is Amount perMl ? new Strength(perMl, Volume.FromMl(1))
                : Quantity(row, "amount_per_container") is Amount whole ? new Strength(whole, volume!.Value) : null,
            Volume = volume,
            DoseAmount = Quantity(row, "dose_amount"),
            InUseDays = Whole(row, "in_use_days"),
            InUseCount = row.GetValueOrDefault("in_use_count") == "opening-day-is-day-0" ? InUseCount.OpeningDayIsDay0 : InUseCount.OpeningDayIsDay1,
            DialStep = Quantity(row, "dial_step"),
            DialMax = Quantity(row, "dial_max"),
            Prime = Ml(row, "prime_ml") ?? Volume.Zero,
            FirstPrime = Ml(row, "first_prime_ml") ?? Volume.Zero,
            MaxDose = Quantity(row, "max_dose"),
            MinEveryDays = Whole(row, "min_every_days"),
            SizeOf = row.GetValueOrDefault("size_of"),
        };
    }

    private static Device DeviceOf(IReadOnlyDictionary<string, string> row) => new()
    {
        Id = row["device_id"],
        Name = row["name"],
        Capacity = Ml(row, "capacity_ml")!.Value,
        Graduation = Ml(row, "graduation_ml")!.Value,
        MarkedIn = row["marked_in"] == "ml" ? BarrelMarking.Ml : BarrelMarking.Units,
        UnitsPerMl = row.TryGetValue("units_per_ml", out var units) ? Number(units) : null,
        DeadSpace = Ml(row, "dead_space_ml") ?? Volume.Zero,
        SharpsPerInjection = Whole(row, "sharps_per_injection") ?? 1,
    };

    private static Step StepOf(IReadOnlyDictionary<string, string> row) => new()
    {
        CourseId = row["course_id"],
        Ladder = Whole(row, "ladder") ?? 1,
        Number = Whole(row, "step")!.Value,
        ProductId = row["product_id"],
        Doses = [.. row["doses"].Split(';').Select(dose => Amount.From(Number(dose)))],
        EveryDays = Whole(row, "every_days")!.Value,
        DoseDays = Whole(row, "dose_days"),
        NeedsCheck = row.GetValueOrDefault("needs_check") != "no",
        DeviceId = row.GetValueOrDefault("device_id"),
        Expelled = Ml(row, "expelled_ml"),
    };

    private static Fact FactOf(IReadOnlyDictionary<string, string> row)
    {
        Assert.True(Kebab.TryParse<FactKind>(row["kind"], out var kind));
        return new Fact
        {
            Id = row["fact_id"],
            CourseId = row["course_id"],
            Kind = kind.Value,
            On = Date(row, "on")!.Value,
            ProductId = row.GetValueOrDefault("product_id"),
            Containers = Whole(row, "containers"),
            Volume = Ml(row, "volume_ml"),
            ExpiresOn = Date(row, "expires_on"),
            Lot = row.GetValueOrDefault("lot"),
            Until = Date(row, "until"),
            OpenedOn = Date(row, "opened_on"),
            Step = Whole(row, "step"),
            DaysSupply = Whole(row, "days_supply"),
            Note = row.GetValueOrDefault("note"),
        };
    }

    private static decimal Number(string text) => decimal.Parse(text, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture);

    private static int? Whole(IReadOnlyDictionary<string, string> row, string column) =>
        row.TryGetValue(column, out var text) ? int.Parse(text, NumberStyles.None, CultureInfo.InvariantCulture) : null;

    private static Volume? Ml(IReadOnlyDictionary<string, string> row, string column) =>
        row.TryGetValue(column, out var text) ? Volume.FromMl(Number(text)) : null;

    private static Amount? Quantity(IReadOnlyDictionary<string, string> row, string column) =>
        row.TryGetValue(column, out var text) ? Amount.From(Number(text)) : null;

    private static LocalDate? Date(IReadOnlyDictionary<string, string> row, string column) =>
        row.TryGetValue(column, out var text) ? LocalDatePattern.Iso.Parse(text).Value : null;
}
