using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using NodaTime;

namespace RefillPlanner.Roster;

/// <summary>One random course with its ladders, prescription and facts; with its patient, where it is the patient's first.</summary>
/// <param name="files">Where it is written.</param>
/// <param name="options">Seed, day, and number of the first course.</param>
/// <param name="number">Its number, on which alone its content depends.</param>
internal sealed class RandomCourse(RosterFiles files, RosterOptions options, int number)
{
    private readonly Dice _dice = new(options.Seed, number, purpose: 1);

    private readonly List<PlannedStep> _steps = [];

    /// <summary>Writes it.</summary>
    public void Add()
    {
        // Every tenth course is the second one of the patient before.
        var patient = number % 10 == 0 ? number - 1 : number;
        if (patient == number || number == options.First)
            RandomPatient.Add(files, options, patient);

        var treatment = _dice.Pick(Catalogue.Treatments);
        var start = options.Today.PlusDays(-(_dice.Chance(70) ? _dice.Between(0, 130) : _dice.Between(130, 400)));
        var device = treatment.Devices.Length == 0 ? null : Misfit(treatment) ?? _dice.Pick(treatment.Devices);
        files.Courses.Add(
            ("course_id", $"C-{number}"),
            ("patient_id", $"PT-{patient}"),
            ("started_on", start),
            ("device_id", device),
            ("expelled_ml", device is not null && _dice.Chance(15) ? 0.01m : null),
            ("fill_days", _dice.Chance(10) ? 84 : null));
        AddLadder(treatment, ladder: 1, start);
        var restart = _dice.Chance(10) ? start.PlusDays(_dice.Between(1, 90)) : (LocalDate?)null;
        if (restart is LocalDate again)
            AddLadder(treatment, ladder: 2, again);
        AddPrescription(treatment, start);
        new RandomFacts(files, options.Today, number, treatment, start, _steps, restart, _dice).Add();
    }

    // One course in a hundred in units is drawn with a barrel of another strength.
    private string? Misfit(Treatment treatment) => treatment.Products[0].Unit == "units" && _dice.Chance(1) ? "D-U40" : null;

    private void AddLadder(Treatment treatment, int ladder, LocalDate start)
    {
        var first = _dice.Below(treatment.Doses.Length);
        var count = ladder == 1 ? _dice.Between(1, treatment.Doses.Length - first) : 1;
        var begins = start;
        for (var step = 1; step <= count; step++)
        {
            var isLast = step == count;
            int? days = isLast && _dice.Chance(90) ? null : treatment.EveryDays == 1 ? 7 * _dice.Between(1, 4) : 4;
            var check = step == 1 || _dice.Chance(85) ? (bool?)null : _dice.Chance(60);
            var doses = Dose(treatment, first + step - 1);
            files.Steps.Add(
                ("course_id", $"C-{number}"),
                ("ladder", ladder == 1 && _dice.Chance(50) ? null : ladder),
                ("step", step),
                ("product_id", treatment.Products[0].Id),
                ("doses", doses),
                ("every_days", treatment.EveryDays),
                ("dose_days", days),
                ("needs_check", check));
            _steps.Add(new PlannedStep(ladder, step, begins, check != false, doses));
            begins = begins.PlusDays(treatment.EveryDays * (days ?? 0));
        }
    }

    // A few doses of vials fall between two marks.
    private string Dose(Treatment treatment, int place)
    {
        var dose = treatment.Doses[place];
        return treatment.Devices.Length > 0 && treatment.Products[0].Unit == "mg" && !dose.Contains(' ') && _dice.Chance(3)
            ? (dose.Contains('.') ? dose : dose + ".") + "3"
            : dose;
    }

    private void AddPrescription(Treatment treatment, LocalDate start)
    {
        var issued = start.PlusDays(-_dice.Between(0, 6));
        var sinceIssue = Period.DaysBetween(issued, options.Today);
        files.Prescriptions.Add(
            ("rx_id", $"RX-{number}-1"),
            ("course_id", $"C-{number}"),
            ("issued_on", issued),
            ("refills_authorized", treatment.Schedule is null ? _dice.Between(0, 11) : _dice.Between(0, 5)),
            ("valid_through", treatment.Schedule is null && _dice.Chance(80) ? issued.PlusDays(365) : null),
            ("schedule", treatment.Schedule),
            ("prescriber", $"Dr. Invented {number % 50}"),
            ("prescriber_phone", $"555-01{number % 100:00}"));
        if (sinceIssue < 150)
            return;
        files.Prescriptions.Add(
            ("rx_id", $"RX-{number}-2"),
            ("course_id", $"C-{number}"),
            ("issued_on", options.Today.PlusDays(-_dice.Between(0, 140))),
            ("refills_authorized", _dice.Between(0, 5)),
            ("schedule", treatment.Schedule),
            ("prescriber", $"Dr. Invented {number % 50}"));
    }
}

/// <summary>A step, and the day on which it begins as prescribed.</summary>
internal sealed record PlannedStep(int Ladder, int Number, LocalDate BeginsOn, bool NeedsCheck, string Doses)
{
    public int DosesPerDay => Doses.Split(';').Length;

    /// <summary>In the product's unit; of the catalogue's doses only those of products in mg are ever written in mcg.</summary>
    public decimal AmountPerDay => Doses.Split(';').Sum(dose =>
        decimal.Parse(dose.Split(' ')[0], NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture) / (dose.EndsWith("mcg", StringComparison.Ordinal) ? 1000 : 1));
}
