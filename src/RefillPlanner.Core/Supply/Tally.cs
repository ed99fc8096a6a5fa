namespace RefillPlanner.Core.Supply;

/// <summary>What the walk adds up, in nanolitres and counts.</summary>
/// <param name="Used">Drawn for doses.</param>
/// <param name="Lost">Left in the needle or pushed out.</param>
/// <param name="Discarded">Thrown away.</param>
/// <param name="Opened">Containers opened.</param>
/// <param name="Doses">Doses covered.</param>
/// <param name="LastCoveredOn">Day of the last covered dose; null: none.</param>
internal readonly record struct Tally(long Used, long Lost, long Discarded, int Opened, int Doses, int? LastCoveredOn);
