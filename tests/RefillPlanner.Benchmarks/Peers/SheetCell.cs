using System.Globalization;
using System.IO;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>Writes cells of a flat OpenDocument spreadsheet, with formulas or with the values that they come to.</summary>
/// <param name="output">Where to.</param>
/// <param name="withFormulas">False: values only.</param>
internal sealed class SheetCell(TextWriter output, bool withFormulas)
{
    public void Number(long value) => output.Write(string.Create(CultureInfo.InvariantCulture, $"<table:table-cell office:value-type=\"float\" office:value=\"{value}\"/>"));

    public void Formula(string formula, long value)
    {
        if (withFormulas)
            output.Write($"<table:table-cell table:formula=\"of:={formula.Replace("<", "&lt;", System.StringComparison.Ordinal).Replace(">", "&gt;", System.StringComparison.Ordinal)}\"/>");
        else
            Number(value);
    }

    public void BeginRow() => output.Write("<table:table-row>");

    public void EndRow() => output.WriteLine("</table:table-row>");

    public void Blank(int count) => output.Write(string.Create(CultureInfo.InvariantCulture, $"<table:table-cell table:number-columns-repeated=\"{count}\"/>"));

    public void BeginSheet() => output.WriteLine("""
        <?xml version="1.0" encoding="UTF-8"?>
        <office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2" office:version="1.3" office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
        <office:body><office:spreadsheet><table:table table:name="Courses">
        """);

    public void EndSheet() => output.WriteLine("</table:table></office:spreadsheet></office:body></office:document>");
}
