using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Messages;

/// <summary>A patient as the refill-due list shows one.</summary>
/// <param name="Id">The patient's id.</param>
/// <param name="Name">The patient's name.</param>
/// <param name="HasNamesake">Whether another patient of the site has the same name.</param>
/// <param name="BornOn">Date of birth; null: not on record.</param>
/// <param name="Phone">Telephone; null: not on record.</param>
public readonly record struct ListedPatient(string Id, string Name, bool HasNamesake, LocalDate? BornOn, string? Phone)
{
    /// <summary>Name, with a warning where another patient of the site has the same.</summary>
    public string NameText => HasNamesake ? $"{Name} (same name as another patient)" : Name;

    /// <summary>Id and date of birth: two identifiers.</summary>
    public string Identifiers => BornOn is LocalDate born ? $"{Id}, born {DateText.Birth(born)}" : $"{Id}, date of birth not on record";

    /// <summary>Telephone, or that none is on record.</summary>
    public string PhoneText => Phone ?? "no telephone on record";
}
