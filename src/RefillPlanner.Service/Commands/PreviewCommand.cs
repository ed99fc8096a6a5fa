using System;
using System.Collections.Generic;
using System.CommandLine;
using System.IO;
using System.Linq;
using System.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Settings;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Commands;

/// <summary><c>preview</c>: what would be sent; as <c>eml</c> its very bytes, as <c>html</c> a page that a browser shows with its pictures.</summary>
internal static class PreviewCommand
{
    private static readonly string[] OfMessage = ["txt", "html", "eml"];
    private static readonly string[] OfSheet = ["html", "ics"];

    public static Command Build(TextWriter output, TimeProvider time)
    {
        var kind = new Argument<string>("KIND") { Description = $"What: {string.Join(", ", Kebab.List<PreviewKind>())}." };
        kind.AcceptOnlyFromAmong([.. Kebab.List<PreviewKind>()]);
        var course = new Option<string?>("--course") { Description = "Id of the course of an alert or a sheet.", HelpName = "ID" };
        var patient = new Option<string?>("--patient") { Description = "Id of the patient of a notice.", HelpName = "ID" };
        var site = new Option<string?>("--site") { Description = "Id of the site of a list.", HelpName = "ID" };
        var language = new Option<string?>("--language") { Description = "Language of what is for a patient. Default: the patient's.", HelpName = "en|es" };
        language.AcceptOnlyFromAmong("en", "es");
        var format = new Option<string?>("--format") { Description = "Which part: the plain text, the HTML with its pictures, or the whole letter; of a sheet the page, or its dosing days as iCalendar. Default: txt, for a sheet html; with --out all.", HelpName = "txt|html|eml|ics" };
        format.AcceptOnlyFromAmong([.. OfMessage.Union(OfSheet)]);
        var folder = new Option<string?>("--out") { Description = "Write files into this folder instead of printing.", HelpName = "FOLDER" };
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var today = SharedOptions.Today("The day. Default: today.");
        var command = new Command("preview", """
            Shows what would be sent, with your own templates: as eml the very bytes, as html a page with its pictures in it. Without an id it speaks of an invented patient and opens no database. Nobody is told, and nothing is put on record.

            Examples:
              refill-planner preview patient-notice --language es
              refill-planner preview sheet --course C-201 --out previews
              refill-planner preview sheet --course C-201 --format ics
              refill-planner preview step-up-alert --course C-201 --format eml --out previews
            """) { kind, course, patient, site, language, format, folder, data, config, today };
        command.SetAction(result =>
        {
            Language? of = result.GetValue(language) switch { "es" => Language.Spanish, "en" => Language.English, _ => null };
            var name = result.GetValue(kind)!;
            var what = Kebab.TryParse<PreviewKind>(name, out var known) ? known.Value : throw new CommandException(ExitCode.Usage, $"There is no preview {name}.");
            var ids = (Course: result.GetValue(course), Patient: result.GetValue(patient), Site: result.GetValue(site));
            var settings = Premises.ReadSettings(result.GetValue(config));
            var composer = new MailComposer(MailTemplates.Of(settings.TemplatesFolder), settings.Mail);
            Preview preview;
            if (ids is (null, null, null))
            {
                preview = new SamplePreviews(composer).Of(what, of ?? Language.English);
            }
            else
            {
                using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), result.GetValue(today) ?? time);
                preview = Find(new RecordPreviews(premises.Desk, composer), what, ids, of);
            }

            return Show(preview, name, result.GetValue(format), result.GetValue(folder), settings, output);
        });
        return command;
    }

    private static Preview Find(RecordPreviews previews, PreviewKind kind, (string? Course, string? Patient, string? Site) ids, Language? language) => (kind, ids) switch
    {
        (PreviewKind.MorningList, (null, null, string site)) => previews.FindList(site) ?? throw Nothing($"There is no site {site}."),
        (PreviewKind.StepUpAlert, (string course, null, null)) => previews.FindAlert(course) ?? throw Nothing($"There is no course {course}, or no dose increase of it waits for a check."),
        (PreviewKind.Sheet, (string course, null, null)) => previews.FindSheet(course, language) is var (page, whyNot) && page is not null ? page : throw Nothing(whyNot is null ? $"There is no course {course}." : $"Course {course} has no sheet: {whyNot}"),
        (PreviewKind.PatientNotice, (null, string patient, null)) => previews.FindNotice(patient, only: null, language) ?? throw NoNotice(patient),
        (PreviewKind.SharpsNotice, (null, string patient, null)) => previews.FindNotice(patient, TaskKind.SharpsReturn, language) ?? throw NoNotice(patient),
        (PreviewKind.DiscardLine, (null, string patient, null)) => previews.FindNotice(patient, TaskKind.DiscardNotice, language) ?? throw NoNotice(patient),
        (PreviewKind.ServiceAlert, _) => throw new CommandException(ExitCode.Usage, "A service-alert is about no course, patient or site: leave the id out."),
        _ => throw new CommandException(ExitCode.Usage, "A morning-list takes --site, a step-up-alert or a sheet --course, and what is for a patient --patient; one of them, or none for an invented patient."),
    };

    private static int Show(Preview preview, string name, string? format, string? folder, PlannerSettings settings, TextWriter output)
    {
        var all = preview.Message is null ? OfSheet : OfMessage;
        if (format is not null && !all.Contains(format))
            throw new CommandException(ExitCode.Usage, preview.Message is null ? $"A {name} is printed, not sent: its formats are html and ics." : $"A {name} has no calendar: its formats are txt, html and eml.");
        IReadOnlyList<string> formats = format is not null ? [format] : folder is null ? [all[0]] : all;
        var parts = formats.Select(part => (Name: $"{name}.{part}", Bytes: Bytes(preview, part, settings.Mail))).ToArray();
        if (folder is null)
        {
            output.Write(Encoding.UTF8.GetString(parts[0].Bytes));
            return ExitCode.Done;
        }

        try
        {
            Directory.CreateDirectory(folder);
            foreach (var part in parts)
            {
                var file = Path.Combine(folder, part.Name);
                File.WriteAllBytes(file, part.Bytes);
                output.WriteLine(file);
            }
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            throw new CommandException(ExitCode.CannotWrite, $"The folder {folder} cannot be written: {failure.Message}");
        }

        return ExitCode.Done;
    }

    private static byte[] Bytes(Preview preview, string format, MailSettings settings)
    {
        if (format == "ics")
            return Encoding.UTF8.GetBytes(preview.Calendar!);
        if (preview.Message is not OutgoingMessage message || format == "html")
            return Encoding.UTF8.GetBytes(LetterPictures.Inline(preview.Html));
        if (format == "txt")
            return Encoding.UTF8.GetBytes(message.Text);
        var letter = MimeLetter.Find(message, preview.Site, settings)
            ?? throw Nothing("No letter would be sent: there is no address that may be used, no agreement to e-mail, or it was taken back. --format txt shows the words.");
        using var bytes = new MemoryStream();
        letter.WriteTo(bytes);
        return bytes.ToArray();
    }

    private static CommandException NoNotice(string patient) => Nothing($"There is no patient {patient}, or nothing of the kind is to be said.");

    private static CommandException Nothing(string message) => new(ExitCode.BadInput, message);
}
