using System;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using MimeKit;
using RefillPlanner.Service.Commands;
using RefillPlanner.Service.Tests.Texts;
using Xunit;

namespace RefillPlanner.Service.Tests.Commands;

/// <summary>What is shown is what would be sent, byte by byte, and nothing else is written.</summary>
public sealed class PreviewTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-previews-");

    private string State => Path.Combine(_folder.FullName, "state");

    private string Out => Path.Combine(_folder.FullName, "out");

    [Theory]
    [InlineData("morning-list", "Refill-due list, Monday, March 2")]
    [InlineData("patient-notice", "Dear Marl Quillfeather,")]
    [InlineData("step-up-alert", "Units and mg differ: the dose is 3 mg")]
    [InlineData("service-alert", "No mail is sent: the mail server refuses the password.")]
    [InlineData("sharps-notice", "Your sharps container is nearly full.")]
    [InlineData("discard-line", "Its last day of use is Sunday, March 8.")]
    public async Task Without_an_id_an_invented_patient_is_shown_and_no_database_is_opened(string kind, string words)
    {
        var (code, text) = await RunAsync("preview", kind, "--data", State);
        Assert.Equal(ExitCode.Done, code);
        Assert.Contains(words, text, StringComparison.Ordinal);
        Assert.False(Directory.Exists(State));
        Assert.StartsWith("<!doctype html>", (await RunAsync("preview", kind, "--format", "html")).Text, StringComparison.Ordinal);
        var letter = (await RunAsync("preview", kind, "--format", "eml")).Text;
        Assert.Equal(letter, (await RunAsync("preview", kind, "--format", "eml")).Text);
        Assert.Contains("Auto-Submitted: auto-generated", letter, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_language_may_be_asked_for() => Assert.StartsWith("Hola, Marl Quillfeather:", (await RunAsync("preview", "patient-notice", "--language", "es")).Text, StringComparison.Ordinal);

    [Fact]
    public async Task A_preview_has_the_bytes_of_the_letter_that_was_sent()
    {
        await RunAsync("demo", "--today", "2026-03-02", "--data", State);
        var letters = Directory.GetFiles(Path.Combine(State, "mail"), "*.eml");
        foreach (var (kind, option, id, file) in new[] { ("patient-notice", "--patient", "PT-101", "patient.101"), ("morning-list", "--site", "S-1", "staff.s-1") })
        {
            var (code, text) = await RunAsync("preview", kind, option, id, "--format", "eml", "--data", State, "--today", "2026-03-02T14:30Z");
            Assert.Equal(ExitCode.Done, code);
            var sent = letters.Single(letter => letter.Contains(file, StringComparison.Ordinal));
            Assert.Equal(WithoutDate(await File.ReadAllTextAsync(sent, TestContext.Current.CancellationToken)), WithoutDate(text));
        }

        var (_, alert) = await RunAsync("preview", "step-up-alert", "--course", "C-209", "--format", "eml", "--data", State, "--today", "2026-03-02T14:30Z");
        Assert.Contains(await Task.WhenAll(letters.Select(letter => File.ReadAllTextAsync(letter, TestContext.Current.CancellationToken))), sent => WithoutDate(sent) == WithoutDate(alert));
    }

    [Fact]
    public async Task A_sheet_is_a_page_to_print_and_one_that_may_not_be_given_is_refused_with_its_reason()
    {
        Assert.StartsWith("<!doctype html>", (await RunAsync("preview", "sheet")).Text, StringComparison.Ordinal);
        Assert.Contains("its formats are html and ics", (await RunAsync("preview", "sheet", "--format", "eml")).Text, StringComparison.Ordinal);
        Assert.Equal(ExitCode.Usage, (await RunAsync("preview", "sheet", "--format", "eml")).Code);
        Assert.Equal(ExitCode.Usage, (await RunAsync("preview", "morning-list", "--format", "ics")).Code);
        Assert.StartsWith("BEGIN:VCALENDAR\r\n", (await RunAsync("preview", "sheet", "--format", "ics")).Text, StringComparison.Ordinal);
        await RunAsync("demo", "--today", "2026-03-02", "--data", State);
        var (code, page) = await RunAsync("preview", "sheet", "--course", "C-202", "--language", "es", "--data", State, "--today", "2026-03-02");
        Assert.Equal(ExitCode.Done, code);
        Assert.Contains("20 unidades (0.2 mL) en la jeringa", TextRules.Visible(page), StringComparison.Ordinal);
        await RunAsync("preview", "sheet", "--course", "C-202", "--out", Out, "--data", State, "--today", "2026-03-02");
        Assert.Equal(["sheet.html", "sheet.ics"], Directory.GetFiles(Out).Select(Path.GetFileName).Order(StringComparer.Ordinal));
        Assert.Contains("DTSTAMP:20260302T150000Z", await File.ReadAllTextAsync(Path.Combine(Out, "sheet.ics"), TestContext.Current.CancellationToken), StringComparison.Ordinal);
        var (refused, reason) = await RunAsync("preview", "sheet", "--course", "C-304", "--data", State, "--today", "2026-03-02");
        Assert.Equal((ExitCode.BadInput, "Course C-304 has no sheet: Nothing is computed for this course. A person must look first."), (refused, reason.Trim()));
    }

    [Fact]
    public async Task The_html_of_a_preview_has_its_pictures_in_it_and_the_letter_refers_to_the_same_ones()
    {
        var (_, html) = await RunAsync("preview", "step-up-alert", "--format", "html");
        Assert.DoesNotContain("cid:", html, StringComparison.Ordinal);
        await RunAsync("preview", "step-up-alert", "--format", "eml", "--out", Out);
        var letter = await MimeMessage.LoadAsync(Path.Combine(Out, "step-up-alert.eml"), TestContext.Current.CancellationToken);
        Assert.Contains("src=\"cid:", letter.HtmlBody, StringComparison.Ordinal);
        using var png = new MemoryStream();
        await letter.BodyParts.OfType<MimePart>().Single(part => part.ContentType.MimeType == "image/png").Content!.DecodeToAsync(png, TestContext.Current.CancellationToken);
        Assert.Contains($"src=\"data:image/png;base64,{Convert.ToBase64String(png.ToArray())}\"", html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task With_a_folder_the_parts_are_files()
    {
        var (code, text) = await RunAsync("preview", "step-up-alert", "--out", Out);
        Assert.Equal(ExitCode.Done, code);
        Assert.Equal(["step-up-alert.eml", "step-up-alert.html", "step-up-alert.txt"], Directory.GetFiles(Out).Select(Path.GetFileName).Order(StringComparer.Ordinal));
        Assert.Equal(3, text.Trim().Split('\n').Length);
        var letter = await MimeMessage.LoadAsync(Path.Combine(Out, "step-up-alert.eml"), TestContext.Current.CancellationToken);
        Assert.Contains(letter.BodyParts, part => part.ContentType.MimeType == "image/png");
    }

    [Fact]
    public async Task What_cannot_be_shown_is_said()
    {
        await RunAsync("demo", "--today", "2026-03-02", "--data", State);
        Assert.Equal(ExitCode.Usage, (await RunAsync("preview", "poem")).Code);
        Assert.Equal(ExitCode.Usage, (await RunAsync("preview", "morning-list", "--patient", "PT-101", "--data", State)).Code);
        Assert.Equal(ExitCode.BadInput, (await RunAsync("preview", "morning-list", "--site", "NOPE", "--data", State)).Code);
        Assert.Equal(ExitCode.BadInput, (await RunAsync("preview", "step-up-alert", "--course", "NOPE", "--data", State)).Code);
        Assert.Equal(ExitCode.BadInput, (await RunAsync("preview", "patient-notice", "--patient", "NOPE", "--data", State)).Code);
    }

    // The Date header is the instant of the decision, and the demo's clock goes on between its letters.
    private static string WithoutDate(string letter) => string.Join('\n', letter.Split('\n').Where(line => !line.StartsWith("Date: ", StringComparison.Ordinal)));

    public void Dispose() => _folder.Delete(recursive: true);

    private static async Task<(int Code, string Text)> RunAsync(params string[] args)
    {
        using var output = new StringWriter();
        var code = await CommandLine.RunAsync(args, output, output, TimeProvider.System);
        return (code, output.ToString());
    }
}
