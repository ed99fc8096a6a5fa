using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>What a walk may find doubtful.</summary>
internal enum WalkDoubt
{
    /// <summary><see cref="FindingCode.OpenedWithoutStock"/>.</summary>
    OpenedWithoutStock,

    /// <summary><see cref="FindingCode.OpeningDisagrees"/>; the number is what the open one should still hold, in nanolitres.</summary>
    OpeningDisagrees,

    /// <summary><see cref="FindingCode.OpeningDateUnknown"/>; the number is the day assumed, or <see cref="DayNumber.Never"/>.</summary>
    OpeningDateUnknown,

    /// <summary><see cref="FindingCode.CountExceedsRecord"/>; the number is how many were on record.</summary>
    CountExceedsRecord,

    /// <summary><see cref="FindingCode.CountBelowRecord"/>; the number is how many were on record.</summary>
    CountBelowRecord,

    /// <summary><see cref="FindingCode.DoseWithoutStock"/>; the number is how many doses, on the days from first to last.</summary>
    DoseWithoutStock,

    /// <summary><see cref="FindingCode.DosesMissed"/>; the number is how many dosing days in a row, from first to last;
    /// 0 where no end is in sight.</summary>
    DosesMissed,
}

/// <summary>Something doubtful, in numbers: it becomes words when somebody is to read it.</summary>
/// <param name="Doubt">What.</param>
/// <param name="Fact">The fact it is about; null: none.</param>
/// <param name="Number">As <see cref="WalkDoubt"/> says.</param>
/// <param name="FirstDay">First day, where it has days.</param>
/// <param name="LastDay">Last day, where it has days.</param>
internal readonly record struct WalkFinding(WalkDoubt Doubt, Fact? Fact, long Number, int FirstDay = 0, int LastDay = 0)
{
    private string Product => Fact!.ProductId!;

    private string On => DateText.Full(Fact!.On);

    /// <summary>The same in words.</summary>
    public Finding Say() => Doubt switch
    {
        WalkDoubt.OpenedWithoutStock => new(FindingCode.OpenedWithoutStock,
            $"{Fact!.Id}: a container of {Product} was opened on {On}, and the record has none sealed. Please count."),
        WalkDoubt.OpeningDisagrees => new(FindingCode.OpeningDisagrees,
            $"{Fact!.Id}: a container of {Product} was opened on {On}, while the open one should still hold {new Volume(Number)} mL, enough for the next dose. Please count."),
        WalkDoubt.OpeningDateUnknown when Number == DayNumber.Never => new(FindingCode.OpeningDateUnknown,
            $"{Fact!.Id}: an open container of {Product} was counted, and nothing tells since when it is open. Discard it."),
        WalkDoubt.OpeningDateUnknown => new(FindingCode.OpeningDateUnknown,
            $"{Fact!.Id}: an open container of {Product} was counted that the record did not have; nobody knows since when it is open. Opened on {DateText.Full(DayNumber.Date((int)Number))} is assumed. Discard it, unless its opening date is written on it."),
        WalkDoubt.CountExceedsRecord => new(FindingCode.CountExceedsRecord,
            $"{Fact!.Id}: {Fact.Containers} sealed containers of {Product} counted on {On}, {Number} on record. The rest is taken to expire with the earliest on record."),
        WalkDoubt.CountBelowRecord => new(FindingCode.CountBelowRecord,
            $"{Fact!.Id}: {Fact.Containers} sealed containers of {Product} counted on {On}, {Number} on record."),
        WalkDoubt.DoseWithoutStock => new(FindingCode.DoseWithoutStock,
            $"{(Number == 1 ? "1 dose" : $"{Number} doses")} {(FirstDay == LastDay ? $"on {Day(FirstDay)}" : $"from {Day(FirstDay)} to {Day(LastDay)}")} had no stock on record: the patient had none, or has more than recorded. Please count."),
        _ when Number == 0 => new(FindingCode.DosesMissed,
            $"No dosing day is given from {Day(FirstDay)} on, and no end is in sight. A pharmacist and the prescriber decide whether to resume or to start lower."),
        _ => new(FindingCode.DosesMissed,
            $"{Number} dosing days in a row not given, from {Day(FirstDay)} to {Day(LastDay)}. A pharmacist and the prescriber decide whether to resume or to start lower."),
    };

    private static string Day(int day) => DateText.Full(DayNumber.Date(day));
}
