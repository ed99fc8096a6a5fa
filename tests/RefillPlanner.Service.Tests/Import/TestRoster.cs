using System;
using System.Collections.Generic;
using System.IO;
using System.IO.Compression;
using System.Linq;
using System.Text;
using RefillPlanner.Service.Import;

namespace RefillPlanner.Service.Tests.Import;

/// <summary>A good roster to spoil: a vial, a pen and a prefilled syringe, each with a course.</summary>
internal sealed class TestRoster
{
    private static readonly Dictionary<string, string> Good = new(StringComparer.Ordinal)
    {
        ["sites.csv"] = "S-1,Main Street,America/Chicago,sat;sun,2026-12-25;2026-01-01,,2027-12-31,staff@pharmacy.example,,,,,911,Bring it back.,",
        ["patients.csv"] = "P-1,Ana Ruiz,S-1,1961-04-05,,ana@example.org,2026-01-02,,,es,,",
        ["products.csv"] = """
            V-1,semaglutide,multi-dose-vial,mg,2.5,,4,,28,,,,,,,,,,,,,,,
            PEN-1,insulin,pen,units,100,,3,,28,,1,60,0.02,0.03,,,yes,,,,,,,
            SYR-1,adalimumab,prefilled-syringe,mg,,,,40,,,,,,,,,,,,,,,,
            """,
        ["devices.csv"] = "D-1,1 mL U-100,1,0.01,units,100,,",
        ["courses.csv"] = """
            C-1,P-1,2026-03-02,D-1,,,
            C-2,P-1,2026-03-02,,,,
            C-3,P-1,2026-03-02,,,,
            """,
        ["steps.csv"] = """
            C-1,1,V-1,0.25,7,,4,,,
            C-1,2,V-1,500 mcg,7,,,,,
            C-2,1,PEN-1,20;30 units,1,,,,,
            C-3,1,SYR-1,40,14,,,,,
            """,
        ["prescriptions.csv"] = "R-1,C-1,2026-03-01,3,,,,",
        ["facts.csv"] = """
            F-1,C-1,received,2026-03-04,,,,,,,,,,F-2
            F-2,C-1,dispensed,2026-03-02,V-1,1,,2027-01-01,L7,2026-03-03,,,28,
            F-3,C-1,counted,2026-03-09,V-1,0,3.5,,,,2026-03-04,,,
            """,
        ["sharps.csv"] = "H-1,P-1,100,2026-03-02,,,",
    };

    private readonly Dictionary<string, List<string>> _rows = Good.ToDictionary(
        pair => pair.Key, pair => pair.Value.Split('\n', StringSplitOptions.TrimEntries).ToList(), StringComparer.Ordinal);

    /// <summary>Rows that would come through beside the good roster.</summary>
    public static readonly Dictionary<string, (string File, string Fields)> Templates = new(StringComparer.Ordinal)
    {
        ["site"] = ("sites.csv", "site_id=S-9|name=Second|time_zone=Europe/Berlin"),
        ["patient"] = ("patients.csv", "patient_id=P-9|name=Bo|site_id=S-1"),
        ["vial"] = ("products.csv", "product_id=V-9|drug=x|kind=multi-dose-vial|unit=mg|amount_per_container=2|volume_ml=1.5"),
        ["pen"] = ("products.csv", "product_id=PEN-9|drug=x|kind=pen|unit=units|amount_per_ml=100|volume_ml=3|dial_step=1|dial_max=60|prime_ml=0.02"),
        ["syringe"] = ("products.csv", "product_id=SYR-9|drug=x|kind=prefilled-syringe|unit=mg|dose_amount=40"),
        ["size"] = ("products.csv", "product_id=V-8|drug=x|kind=multi-dose-vial|unit=mg|amount_per_ml=2.5|volume_ml=2|size_of=V-1"),
        ["device"] = ("devices.csv", "device_id=D-9|name=0.5 mL|capacity_ml=0.5|graduation_ml=0.01|marked_in=units|units_per_ml=100"),
        ["course"] = ("courses.csv", "course_id=C-9|patient_id=P-1|started_on=2026-04-01|device_id=D-1"),
        ["step"] = ("steps.csv", "course_id=C-1|step=1|product_id=V-1|doses=0.5|every_days=7|ladder=2"),
        ["pen step"] = ("steps.csv", "course_id=C-2|step=1|product_id=PEN-1|doses=10|every_days=1|ladder=2"),
        ["prescription"] = ("prescriptions.csv", "rx_id=R-9|course_id=C-1|issued_on=2026-03-01|refills_authorized=3"),
        ["sharps"] = ("sharps.csv", "sharps_id=H-9|patient_id=P-1|capacity_sharps=100|issued_on=2026-03-02"),
        ["prepared"] = ("facts.csv", "fact_id=X-1|course_id=C-1|kind=prepared|on=2026-03-02|product_id=V-1|containers=2"),
        ["dispensed"] = ("facts.csv", "fact_id=X-2|course_id=C-1|kind=dispensed|on=2026-03-02|product_id=V-1|containers=1"),
        ["received"] = ("facts.csv", "fact_id=X-3|course_id=C-1|kind=received|on=2026-03-05|note=F-2"),
        ["counted"] = ("facts.csv", "fact_id=X-4|course_id=C-1|kind=counted|on=2026-03-10|product_id=V-1|containers=1|volume_ml=2"),
        ["syringe count"] = ("facts.csv", "fact_id=X-5|course_id=C-3|kind=counted|on=2026-03-10|product_id=SYR-1|containers=1"),
        ["opened"] = ("facts.csv", "fact_id=X-6|course_id=C-1|kind=opened|on=2026-03-02|product_id=V-1"),
        ["discarded"] = ("facts.csv", "fact_id=X-7|course_id=C-1|kind=discarded|on=2026-03-02|product_id=V-1"),
        ["missed"] = ("facts.csv", "fact_id=X-8|course_id=C-1|kind=missed|on=2026-03-02"),
        ["paused"] = ("facts.csv", "fact_id=X-9|course_id=C-1|kind=paused|on=2026-03-02"),
        ["resumed"] = ("facts.csv", "fact_id=X-10|course_id=C-1|kind=resumed|on=2026-03-03"),
        ["approved"] = ("facts.csv", "fact_id=X-11|course_id=C-1|kind=approved|on=2026-03-20|step=2|note=K. Lee"),
        ["held"] = ("facts.csv", "fact_id=X-12|course_id=C-1|kind=held|on=2026-03-20|step=2"),
        ["ladder-started"] = ("facts.csv", "fact_id=X-13|course_id=C-1|kind=ladder-started|on=2026-05-01|step=1"),
        ["answered"] = ("facts.csv", "fact_id=X-14|course_id=C-1|kind=answered|on=2026-03-20|note=later"),
        ["ended"] = ("facts.csv", "fact_id=X-15|course_id=C-1|kind=ended|on=2026-06-01"),
        ["void"] = ("facts.csv", "fact_id=X-16|course_id=C-1|kind=void|on=2026-03-20|note=F-3"),
    };

    public static string Header(string file) => string.Join(',', RosterSchema.All.Single(schema => schema.File == file).Columns);

    /// <summary>A template's row with some columns changed; null takes the row's id of the template.</summary>
    public static string Row(string template, string? changes = null, string? id = null)
    {
        var (file, fields) = Templates[template];
        var values = new Dictionary<string, string>(StringComparer.Ordinal);
        var schema = RosterSchema.All.Single(other => other.File == file);
        foreach (var field in $"{fields}|{(id is null ? null : $"{schema.Columns[0]}={id}")}|{changes}".Split('|').Where(field => field.Length > 0))
            values[field[..field.IndexOf('=')]] = field[(field.IndexOf('=') + 1)..];
        return string.Join(',', schema.Columns.Select(column => Quote(values.GetValueOrDefault(column, ""))));
    }

    public TestRoster With(string template, string? changes = null, string? id = null) => WithLine(Templates[template].File, Row(template, changes, id));

    public TestRoster WithLine(string file, string line)
    {
        _rows[file].Add(line);
        return this;
    }

    public TestRoster Without(string file, string start)
    {
        _rows[file].RemoveAll(row => row.StartsWith(start, StringComparison.Ordinal));
        return this;
    }

    /// <summary>The line on which the last row of a file starts, while no field has a line break.</summary>
    public int LastLine(string file) => _rows[file].Count + 1;

    public string Text(string file, string newLine = "\n") => string.Concat(_rows[file].Prepend(Header(file)).Select(row => row + newLine));

    public Imported Judge(Imported? known = null) => JudgeFiles(known, [.. _rows.Keys.Select(file => (file, Encoding.UTF8.GetBytes(Text(file))))]);

    /// <summary>Judges the good roster with one file replaced.</summary>
    public Imported JudgeWith(string file, byte[] bytes) =>
        JudgeFiles(null, [.. _rows.Keys.Select(other => (other, other == file ? bytes : Encoding.UTF8.GetBytes(Text(other))))]);

    public static Imported JudgeFiles(Imported? known, params (string File, byte[] Bytes)[] files)
    {
        using var folder = new TestFolder();
        foreach (var (file, bytes) in files)
            File.WriteAllBytes(folder.In(file), bytes);
        return Imported.From(RosterFolder.Open(folder.Path), known);
    }

    public string Write(TestFolder folder, string name)
    {
        var path = Directory.CreateDirectory(folder.In(name)).FullName;
        foreach (var file in _rows.Keys)
            File.WriteAllText(Path.Combine(path, file), Text(file));
        return path;
    }

    public string WriteZip(TestFolder folder, string prefix)
    {
        var path = folder.In("roster.zip");
        using var archive = ZipFile.Open(path, ZipArchiveMode.Create);
        foreach (var file in _rows.Keys)
        {
            using var entry = archive.CreateEntry(prefix + file).Open();
            entry.Write(Encoding.UTF8.GetBytes(Text(file)));
        }

        return path;
    }

    private static string Quote(string value) =>
        value.AsSpan().IndexOfAny(",\"\r\n") < 0 ? value : $"\"{value.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";
}

/// <summary>A folder that is gone after the test.</summary>
internal sealed class TestFolder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("roster-").FullName;

    public string In(string file) => System.IO.Path.Combine(Path, file);

    public void Dispose() => Directory.Delete(Path, recursive: true);
}
