using System;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Commands;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Settings;
using Xunit;

namespace RefillPlanner.Service.Tests.Texts;

/// <summary>A pharmacy's own templates: taken where they are sound, refused at start where they are not.</summary>
public sealed class OwnTemplatesTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-templates-");

    private string Templates => Path.Combine(_folder.FullName, "templates");

    private string Config => Path.Combine(_folder.FullName, "refill-planner.json");

    [Fact]
    public void A_file_beside_the_configuration_takes_the_place_of_the_carried_template()
    {
        Write("patient-notice.en.txt", "Hello {{ notice.name }}, please call us.\n{{ notice.caution }}");
        File.WriteAllText(Config, "{ }");
        var (settings, faults) = SettingsFile.Read(Config);
        Assert.Empty(faults);
        Assert.Equal(Templates, settings.TemplatesFolder);
        var templates = MailTemplates.Of(settings.TemplatesFolder);
        var notice = SampleModels.Notice(new SampleCourse(Language.English, IsPlain: false));
        Assert.StartsWith("Hello Marl Quillfeather, please call us.", templates.Render("patient-notice.en.txt", "notice", notice), StringComparison.Ordinal);
        Assert.Contains("Dear Marl Quillfeather", templates.Render("patient-notice.en.html", "notice", notice), StringComparison.Ordinal);
    }

    [Fact]
    public void The_folder_may_be_named()
    {
        Write("patient-notice.en.txt", "Hello {{ notice.name }}. {{ notice.caution }}");
        Directory.Move(Templates, Path.Combine(_folder.FullName, "ours"));
        File.WriteAllText(Config, "{ \"templates\": \"ours\" }");
        Assert.Equal(Path.Combine(_folder.FullName, "ours"), SettingsFile.Read(Config).Settings.TemplatesFolder);
        File.WriteAllText(Config, "{ \"templates\": \"nowhere\" }");
        Assert.Contains("there is no folder", Assert.Single(SettingsFile.Read(Config).Faults).ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("patient-notice.en.txt", "Hello\n{% if notice.name %}", "patient-notice.en.txt.liquid:2: it cannot be read:")]
    [InlineData("patient-notice.en.txt", "Hello\n\n{{ notice.dose }} {{ notice.caution }}", "patient-notice.en.txt.liquid:3: it was tried out on an invented patient and failed: Undefined variable 'dose'")]
    [InlineData("patient-notice.es.txt", "{% if notice.phone == \"\" %}\n{{ notice.address }}{% endif %}{{ notice.caution }}", "patient-notice.es.txt.liquid:2: it was tried out on an invented patient and failed: Undefined variable 'address'")]
    [InlineData("patient-notice.en.txt", "{{ notice.name | shout }}{{ notice.caution }}", "patient-notice.en.txt.liquid:1: it was tried out on an invented patient and failed: Undefined filter 'shout'")]
    [InlineData("patient-notice.en.txt", "Hello {{ notice.name }}", "patient-notice.en.txt.liquid: it leaves out the caution")]
    [InlineData("patient-notise.en.txt", "Hello {{ notice.caution }}", "patient-notise.en.txt.liquid: there is no template of this name to replace; those are morning-list.html")]
    [InlineData("step-up-alert.html", "<img src=\"cid:{{ alert.picture }}@picture.invalid\">{{ alert.caution }}", "step-up-alert.html.liquid: its picture has no alternative text")]
    [InlineData("patient-notice.en.txt", "{% for i in (1..2000000) %}x{% endfor %}{{ notice.caution }}", "patient-notice.en.txt.liquid: it was tried out on an invented patient and failed:")]
    public async Task A_broken_template_is_refused_at_start_with_its_file_line_and_reason(string name, string text, string expected)
    {
        Write(name, text);
        await File.WriteAllTextAsync(Config, "{ }", TestContext.Current.CancellationToken);
        using var output = new StringWriter();
        var code = await CommandLine.RunAsync(["run", "--config", Config, "--data", Path.Combine(_folder.FullName, "state")], output, output, TimeProvider.System);
        Assert.Equal(ExitCode.BadConfiguration, code);
        Assert.StartsWith(expected, output.ToString(), StringComparison.Ordinal);
        Assert.False(Directory.Exists(Path.Combine(_folder.FullName, "state")));
    }

    [Fact]
    public void Every_template_that_the_program_carries_would_be_taken()
    {
        Directory.CreateDirectory(Templates);
        var carried = Path.GetFullPath(Path.Combine(Path.GetDirectoryName(Here())!, "..", "..", "..", "config", "templates"));
        foreach (var file in Directory.GetFiles(carried))
            File.Copy(file, Path.Combine(Templates, Path.GetFileName(file)));
        Assert.Empty(OwnTemplates.ListFaults(Templates));
        Assert.Equal(MailTemplates.CarriedNames.Order(StringComparer.Ordinal), OwnTemplates.Read(Templates).Keys.Order(StringComparer.Ordinal));
    }

    public void Dispose() => _folder.Delete(recursive: true);

    private static string Here([System.Runtime.CompilerServices.CallerFilePath] string here = "") => here;

    private void Write(string name, string text)
    {
        Directory.CreateDirectory(Templates);
        File.WriteAllText(Path.Combine(Templates, $"{name}.liquid"), text);
    }
}
