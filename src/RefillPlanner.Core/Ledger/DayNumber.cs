using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>Calendar dates as whole numbers, for arithmetic inside the walk: days since 1970-01-01, which is 0.</summary>
public static class DayNumber
{
    /// <summary>A day that never comes, later than every date of a ledger.</summary>
    public const int Never = int.MaxValue;

    private static readonly LocalDate Zero = new(1970, 1, 1);

    /// <summary>The number of a date.</summary>
    public static int Of(LocalDate date) => Period.DaysBetween(Zero, date);

    /// <summary>The number of a date, or <see cref="Never"/> for null.</summary>
    public static int OrNever(LocalDate? date) => date is LocalDate known ? Of(known) : Never;

    /// <summary>The date of a number.</summary>
    public static LocalDate Date(int day) => Zero.PlusDays(day);
}
