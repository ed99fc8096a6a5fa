namespace RefillPlanner.Core.Messages;

/// <summary>Something that belongs on the refill-due list and cannot be shown, because what is on record is damaged or could not be worked out.</summary>
/// <param name="Key">What it is, as far as it can be read.</param>
/// <param name="Why">What happened and what to do; no dates and amounts of the record.</param>
/// <param name="PatientId">The patient it is about; empty: nobody knows, or it is about all.</param>
/// <param name="CourseId">The course; empty: nobody knows, or none.</param>
/// <param name="Patient">The patient as on record; null: not known, or damaged as well.</param>
public sealed record ListedDamage(string Key, string Why, string PatientId, string CourseId, ListedPatient? Patient);
