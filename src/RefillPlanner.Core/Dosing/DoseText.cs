using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>Placeholder while the one formatter is written on its own branch.</summary>
public static class DoseText
{
    /// <summary>An amount with its unit.</summary>
    public static string Amount(Amount amount, DoseUnit unit) => $"{amount} {Kebab.Of(unit)}";

    /// <summary>A volume in mL.</summary>
    public static string Volume(Volume volume) => $"{volume} mL";

    /// <summary>A strength per mL.</summary>
    public static string Strength(Strength strength, DoseUnit unit) => $"{strength.Amount} {Kebab.Of(unit)} in {strength.Per} mL";
}
