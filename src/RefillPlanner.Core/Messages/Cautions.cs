using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Messages;

/// <summary>The cautions that every list, alert and mail carries.</summary>
public static class Cautions
{
    /// <summary>For staff and pharmacists.</summary>
    public const string Staff =
        "These dates are a calculation from recorded facts. They are no advice on doses and do not replace the label, the pharmacist's judgement, "
        + "licensed practice or local law. Where record and stock disagree, count.";

    /// <summary>For the pharmacist before a dose increase.</summary>
    public const string StepUp =
        "Volumes and marks are arithmetic from the recorded dose and strength. Check them against the label and the prescription before you sign. "
        + "Units and millilitres are confused easily: a ten-fold error is the well-known accident.";

    /// <summary>For a patient.</summary>
    public static string Patient(Language language, string? emergencyNumber) => (language, emergencyNumber) switch
    {
        (Language.Spanish, null) => "Siga la etiqueta y lo que le dijo su farmacéutico. En una emergencia, llame al número local de emergencias.",
        (Language.Spanish, _) => $"Siga la etiqueta y lo que le dijo su farmacéutico. En una emergencia, llame al {emergencyNumber}.",
        (_, null) => "Follow the label and what your pharmacist told you. In an emergency, call your local emergency number.",
        _ => $"Follow the label and what your pharmacist told you. In an emergency, call {emergencyNumber}.",
    };
}
