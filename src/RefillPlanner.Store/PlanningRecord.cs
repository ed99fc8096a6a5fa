using System;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>
/// What planning needs of a patient, packed in one row: names, addresses and telephones are left out. Numbers are of variable length, days
/// are counted from the one before. It is made from the ledger and can be thrown away.
/// </summary>
internal static class PlanningRecord
{
    // To be raised with each change of the form; a record of another form is made anew.
    private const int Form = 2;

    /// <summary>Whether bytes are a record of this form.</summary>
    public static bool IsReadable(ReadOnlySpan<byte> record) => !record.IsEmpty && new PackReader(record).Whole() == Form;

    /// <summary>Packs a patient.</summary>
    public static byte[] Pack(PatientSnapshot snapshot)
    {
        var writer = new PackWriter();
        writer.Add(Form);
        var patient = snapshot.Patient;
        writer.AddText(patient.Id);
        writer.AddText(patient.SiteId);
        writer.Add((int)patient.Status);
        writer.Add((int)patient.Handover);
        writer.AddText(patient.TimeZone);
        writer.Add(snapshot.Courses.Count);
        foreach (var course in snapshot.Courses)
            Pack(course, writer);
        writer.Add(snapshot.Sharps.Count);
        foreach (var container in snapshot.Sharps)
        {
            writer.AddText(container.Id);
            writer.Add(container.Capacity);
            writer.AddDay(container.IssuedOn);
            writer.AddDay(container.ReturnedOn);
            writer.AddDay(container.WrittenOffOn);
            writer.AddText(container.ContainerClass);
        }

        return writer.Bytes.ToArray();
    }

    /// <summary>Unpacks a patient.</summary>
    /// <param name="record">The bytes, of this form.</param>
    /// <param name="reference">Sites, products and devices, which the record names.</param>
    public static PatientSnapshot Unpack(ReadOnlySpan<byte> record, Reference reference)
    {
        var reader = new PackReader(record);
        reader.Whole();
        var patient = new Patient
        {
            Id = reader.Text()!,
            Name = string.Empty,
            SiteId = reader.Text()!,
            Status = (PatientStatus)reader.Whole(),
            Handover = (Handover)reader.Whole(),
            TimeZone = reader.Text(),
        };
        var courses = new CourseSnapshot[reader.Whole()];
        for (var index = 0; index < courses.Length; index++)
            courses[index] = Course(ref reader, patient, reference);
        var sharps = new SharpsContainer[reader.Whole()];
        for (var index = 0; index < sharps.Length; index++)
        {
            sharps[index] = new SharpsContainer
            {
                Id = reader.Text()!,
                PatientId = patient.Id,
                Capacity = reader.Whole(),
                IssuedOn = reader.Day()!.Value,
                ReturnedOn = reader.Day(),
                WrittenOffOn = reader.Day(),
                ContainerClass = reader.Text(),
            };
        }

        return new PatientSnapshot(patient, courses, sharps);
    }

    private static void Pack(CourseSnapshot snapshot, PackWriter writer)
    {
        var course = snapshot.Course;
        writer.AddText(course.Id);
        writer.AddDay(course.StartedOn);
        writer.AddText(course.DeviceId);
        writer.Add(course.Expelled.Nanolitres);
        writer.Add(course.FillDays);
        writer.Add(course.EarlyFillPercent);
        writer.Add(snapshot.Steps.Count);
        foreach (var step in snapshot.Steps)
            Pack(step, writer);
        writer.Add(snapshot.Prescriptions.Count);
        foreach (var prescription in snapshot.Prescriptions)
        {
            writer.AddText(prescription.Id);
            writer.AddDay(prescription.IssuedOn);
            writer.Add(prescription.RefillsAuthorized);
            writer.AddDay(prescription.ValidThrough);
            writer.Add(prescription.Schedule);
        }

        writer.Add(snapshot.Facts.Count);
        foreach (var fact in snapshot.Facts)
            Pack(fact, writer);
    }

    private static CourseSnapshot Course(ref PackReader reader, Patient patient, Reference reference)
    {
        var course = new Course
        {
            Id = reader.Text()!,
            PatientId = patient.Id,
            StartedOn = reader.Day()!.Value,
            DeviceId = reader.Text(),
            Expelled = new Volume(reader.Long()),
            FillDays = reader.WholeOrNull(),
            EarlyFillPercent = reader.WholeOrNull(),
        };
        var steps = new Step[reader.Whole()];
        for (var index = 0; index < steps.Length; index++)
            steps[index] = Step(ref reader, course.Id);
        var prescriptions = new Prescription[reader.Whole()];
        for (var index = 0; index < prescriptions.Length; index++)
        {
            prescriptions[index] = new Prescription
            {
                Id = reader.Text()!,
                CourseId = course.Id,
                IssuedOn = reader.Day()!.Value,
                RefillsAuthorized = reader.Whole(),
                ValidThrough = reader.Day(),
                Schedule = reader.WholeOrNull(),
            };
        }

        var facts = new Fact[reader.Whole()];
        for (var index = 0; index < facts.Length; index++)
            facts[index] = Fact(ref reader, course.Id);
        return reference.Snapshot(course, patient, steps, facts, prescriptions);
    }

    private static void Pack(Step step, PackWriter writer)
    {
        writer.Add(step.Ladder);
        writer.Add(step.Number);
        writer.AddText(step.ProductId);
        writer.Add(step.Doses.Count);
        foreach (var dose in step.Doses)
            writer.Add(dose.Billionths);
        writer.Add(step.EveryDays);
        writer.Add(step.DoseDays);
        writer.Add(step.NeedsCheck);
        writer.AddText(step.DeviceId);
        writer.Add(step.Expelled is null ? null : 1);
        if (step.Expelled is Volume expelled)
            writer.Add(expelled.Nanolitres);
    }

    private static Step Step(ref PackReader reader, string courseId)
    {
        var (ladder, number, productId) = (reader.Whole(), reader.Whole(), reader.Text()!);
        var doses = new Amount[reader.Whole()];
        for (var index = 0; index < doses.Length; index++)
            doses[index] = new Amount(reader.Long());
        return new Step
        {
            CourseId = courseId,
            Ladder = ladder,
            Number = number,
            ProductId = productId,
            Doses = doses,
            EveryDays = reader.Whole(),
            DoseDays = reader.WholeOrNull(),
            NeedsCheck = reader.Whole() == 1,
            DeviceId = reader.Text(),
            Expelled = reader.WholeOrNull() is null ? null : new Volume(reader.Long()),
        };
    }

    // A fact uses few of its columns: a mask says which.
    private static void Pack(Fact fact, PackWriter writer)
    {
        var note = fact.Kind is FactKind.Received or FactKind.Void or FactKind.Answered ? fact.Note : null;
        writer.AddText(fact.Id);
        writer.Add((int)fact.Kind);
        writer.AddDay(fact.On);
        writer.Add((fact.ProductId is null ? 0 : 1) | (fact.Containers is null ? 0 : 2) | (fact.Volume is null ? 0 : 4) | (fact.ExpiresOn is null ? 0 : 8)
            | (fact.Lot is null ? 0 : 16) | (fact.Until is null ? 0 : 32) | (fact.OpenedOn is null ? 0 : 64) | (fact.Step is null ? 0 : 128)
            | (fact.DaysSupply is null ? 0 : 256) | (note is null ? 0 : 512) | (fact.Signed is null ? 0 : 1024));
        if (fact.ProductId is not null)
            writer.AddText(fact.ProductId);
        if (fact.Containers is int containers)
            writer.Add(containers);
        if (fact.Volume is Volume volume)
            writer.Add(volume.Nanolitres);
        if (fact.ExpiresOn is not null)
            writer.AddDay(fact.ExpiresOn);
        if (fact.Lot is not null)
            writer.AddText(fact.Lot);
        if (fact.Until is not null)
            writer.AddDay(fact.Until);
        if (fact.OpenedOn is not null)
            writer.AddDay(fact.OpenedOn);
        if (fact.Step is int step)
            writer.Add(step);
        if (fact.DaysSupply is int daysSupply)
            writer.Add(daysSupply);
        if (note is not null)
            writer.AddText(note);
        if (fact.Signed is not null)
            writer.AddText(fact.Signed);
    }

    private static Fact Fact(ref PackReader reader, string courseId)
    {
        var (id, kind, on, mask) = (reader.Text()!, (FactKind)reader.Whole(), reader.Day()!.Value, reader.Whole());
        return new Fact
        {
            Id = id,
            CourseId = courseId,
            Kind = kind,
            On = on,
            ProductId = (mask & 1) == 0 ? null : reader.Text(),
            Containers = (mask & 2) == 0 ? null : reader.Whole(),
            Volume = (mask & 4) == 0 ? null : new Volume(reader.Long()),
            ExpiresOn = (mask & 8) == 0 ? null : reader.Day(),
            Lot = (mask & 16) == 0 ? null : reader.Text(),
            Until = (mask & 32) == 0 ? null : reader.Day(),
            OpenedOn = (mask & 64) == 0 ? null : reader.Day(),
            Step = (mask & 128) == 0 ? null : reader.Whole(),
            DaysSupply = (mask & 256) == 0 ? null : reader.Whole(),
            Note = (mask & 512) == 0 ? null : reader.Text(),
            Signed = (mask & 1024) == 0 ? null : reader.Text(),
        };
    }
}
