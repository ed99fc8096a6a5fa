using System;
using System.Globalization;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>The words of a ruling as values.</summary>
internal static class Word
{
    public static int Count(string word) => int.Parse(word, NumberStyles.None, CultureInfo.InvariantCulture);

    public static decimal Number(string word) => decimal.Parse(word, NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture);

    public static Amount Amount(string word) => Ledger.Amount.From(Number(word));

    public static LocalDate Date(string word) => LocalDatePattern.Iso.Parse(word).Value;

    public static DoseUnit Unit(string word) => word switch
    {
        "mg" => DoseUnit.Mg,
        "mcg" => DoseUnit.Mcg,
        "unit" or "units" => DoseUnit.Units,
        _ => throw new FormatException(word),
    };
}
