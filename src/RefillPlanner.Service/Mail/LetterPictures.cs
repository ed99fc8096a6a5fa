using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Text.RegularExpressions;
using MimeKit;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Pictures;

namespace RefillPlanner.Service.Mail;

/// <summary>
/// The pictures to which a letter's HTML refers, drawn from their names alone (see <see cref="PictureCode"/>): nothing but the text is kept on record,
/// and each try sends the same bytes.
/// </summary>
internal static partial class LetterPictures
{
    private const string Place = "@picture.invalid";

    /// <summary>The pictures of a text as inline parts, each once; a name that is no picture's is left out, its alternative text stands for it.</summary>
    public static IReadOnlyList<MimePart> List(string html) =>
        [.. References().Matches(html).Select(match => match.Groups["code"].Value).Distinct(StringComparer.Ordinal).Select(FindPart).OfType<MimePart>()];

    /// <summary>The same text with each picture inside it, as a browser shows it without the letter (RFC 2397).</summary>
    public static string Inline(string html) => References().Replace(html, match => FindPng(match.Groups["code"].Value) is byte[] png
        ? $"data:image/png;base64,{Convert.ToBase64String(png)}"
        : match.Value);

    private static MimePart? FindPart(string code) => FindPng(code) is not byte[] png ? null : new MimePart("image", "png")
    {
        ContentId = code + Place,
        ContentDisposition = new ContentDisposition(ContentDisposition.Inline),
        ContentTransferEncoding = ContentEncoding.Base64,
        Content = new MimeContent(new MemoryStream(png)),
    };

    private static byte[]? FindPng(string code) => PictureCode.Find(code) is { } panels ? PicturePng.Paint(PictureDrawing.Of(panels, Language.English)) : null;

    [GeneratedRegex("cid:(?<code>[a-z0-9._-]+)@picture\\.invalid", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 5_000)]
    private static partial Regex References();
}
