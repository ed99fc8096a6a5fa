using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Messages;

/// <summary>An open container's end, as two different dates.</summary>
/// <param name="LastUse">Last day of use.</param>
/// <param name="DiscardOn">The day on which what is left is thrown away.</param>
public sealed record DiscardLine(string LastUse, string DiscardOn);

/// <summary>
/// What one mail to a patient says, merged from all that is due that day. No drug, no dose, no condition: only that it is time, by when, and how
/// to answer.
/// </summary>
public sealed record PatientNotice
{
    /// <summary>The patient's language.</summary>
    public required Language Language { get; init; }

    /// <summary>The patient's name.</summary>
    public required string Name { get; init; }

    /// <summary>The site's name.</summary>
    public required string Site { get; init; }

    /// <summary>The site's telephone; empty: none on record.</summary>
    public required string Phone { get; init; }

    /// <summary>By when to answer about the next supply; empty: nothing about it.</summary>
    public string RefillBy { get; init; } = string.Empty;

    /// <summary>How the next supply is handed over; empty with <see cref="RefillBy"/>.</summary>
    public string RefillHow { get; init; } = string.Empty;

    /// <summary>By when the sharps container is to come back; empty: nothing about it.</summary>
    public string SharpsBy { get; init; } = string.Empty;

    /// <summary>Whether that is the old one of two: the next one went out before it was full.</summary>
    public bool SharpsOld { get; init; }

    /// <summary>How sharps are returned at this site.</summary>
    public string SharpsHow { get; init; } = string.Empty;

    /// <summary>Open containers whose last day of use is near; empty: nothing about them.</summary>
    public IReadOnlyList<DiscardLine> Discards { get; init; } = [];

    private LocalDate? EarliestAnswer { get; init; }

    private LocalDate? EarliestReturn { get; init; }

    /// <summary>The caution.</summary>
    public required string Caution { get; init; }

    /// <summary>The words that begin every notice.</summary>
    public static PatientNotice Of(Patient patient, Site site) => new()
    {
        Language = patient.Language,
        Name = patient.Name,
        Site = site.Name,
        Phone = site.Phone ?? string.Empty,
        Caution = Cautions.Patient(patient.Language, site.EmergencyNumber),
    };

    /// <summary>Adds that it is time to arrange the next supply.</summary>
    /// <remarks>Of several courses the earliest date is said.</remarks>
    public PatientNotice WithRefill(LocalDate answerBy, Handover handover, LocalDate today) => EarliestAnswer <= answerBy ? this : this with
    {
        EarliestAnswer = answerBy,
        RefillBy = DateText.Day(answerBy, today, Language),
        RefillHow = (Language, handover) switch
        {
            (Language.Spanish, Handover.Ship) => "Se lo enviamos cuando usted nos diga que sí.",
            (Language.Spanish, _) => "Puede recogerlo en la farmacia.",
            (_, Handover.Ship) => "We send it once you say yes.",
            _ => "You can pick it up at the pharmacy.",
        },
    };

    /// <summary>Adds that the sharps container is nearly full, or that it is the old one of two.</summary>
    /// <remarks>Of several containers the earliest date is said.</remarks>
    public PatientNotice WithSharps(LocalDate returnBy, Site site, LocalDate today, bool isOld = false) => EarliestReturn <= returnBy ? this : this with
    {
        EarliestReturn = returnBy,
        SharpsBy = DateText.Day(returnBy, today, Language),
        SharpsOld = isOld,
        SharpsHow = Language == Language.Spanish
            ? site.SharpsReturnEs ?? "Pregunte en la farmacia cómo devolverlo: las reglas son distintas en cada lugar."
            : site.SharpsReturn ?? "Ask the pharmacy how to return it: rules differ from place to place.",
    };

    /// <summary>Adds the last day of use of the open container.</summary>
    public PatientNotice WithDiscard(LocalDate lastUseOn, LocalDate discardOn, LocalDate today) => this with
    {
        Discards = [.. Discards, new DiscardLine(DateText.Day(lastUseOn, today, Language), DateText.Day(discardOn, today, Language))],
    };
}
