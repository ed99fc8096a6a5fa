using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using MimeKit;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Pictures;
using RefillPlanner.Core.Tests.Pictures;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Tests.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>Pictures in letters.</summary>
public sealed class PictureMailTests
{
    private static readonly byte[] PngBegins = [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A];
    private static readonly Barrel Half = new(Volume.FromMl(0.5m), Volume.FromMl(0.01m), 100);
    private static readonly IReadOnlyList<Panel> Panels = [.. Panel.List(Side.Now, [new BarrelReading(Half, Volume.FromMl(0.1m))]), .. Panel.List(Side.New, [new BarrelReading(Half, Volume.FromMl(0.2m))])];

    [Fact]
    public void A_drawing_is_painted_to_the_same_bytes_each_time()
    {
        var drawing = PictureDrawing.Of(Panels, Language.English);
        var png = PicturePng.Paint(drawing);
        Assert.Equal(PngBegins, png[..8]);
        Assert.Equal(png, PicturePng.Paint(drawing));
        Assert.InRange(png.Length, 2_000, 60_000);
    }

    [Fact]
    public void A_letter_carries_the_pictures_that_its_text_refers_to_each_once()
    {
        var code = PictureCode.Write(Panels);
        var message = Letters.Message() with { Html = $"<img src=\"cid:{code}@picture.invalid\"><img src=\"cid:{code}@picture.invalid\"><img src=\"cid:no-picture@picture.invalid\">" };
        var letter = MimeLetter.Find(message, Letters.Site, new MailSettings())!;
        var related = Assert.IsType<MultipartRelated>(((Multipart)letter.Body!)[1]);
        Assert.Equal(message.Html, ((TextPart)related[0]).Text!.TrimEnd());
        var picture = (MimePart)related[1];
        Assert.Equal(2, related.Count);
        Assert.Equal(($"{code}@picture.invalid", "image/png", "inline"), (picture.ContentId, picture.ContentType.MimeType, picture.ContentDisposition!.Disposition));
        Assert.Equal(Letters.Bytes(letter), Letters.Bytes(MimeLetter.Find(message, Letters.Site, new MailSettings())!));
    }

    [Fact]
    public void Every_syringe_of_the_demo_has_its_picture_kept()
    {
        using var bench = new Bench(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero));
        bench.ImportDemo(new LocalDate(2026, 3, 2));
        using var reading = bench.Desk.Database.Read();
        var kept = Barrels.All.Values.SelectMany(panels => panels).Select(panel => panel.Reading).OfType<BarrelReading>().Select(barrel => barrel.Barrel).ToHashSet();
        var devices = reading.Snapshots.List().SelectMany(patient => patient.Courses).SelectMany(course => course.Devices.Values).DistinctBy(device => device.Id).ToArray();
        Assert.True(devices.Length >= 5);
        Assert.All(devices, device => Assert.Contains(Barrel.Of(device), kept));
    }

    [Fact]
    public async Task The_alert_before_a_dose_increase_carries_its_picture_and_is_complete_without_it()
    {
        using var bench = new Bench(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero));
        bench.ImportDemo(new LocalDate(2026, 3, 2));
        await bench.Rounds.CatchUpAsync(CancellationToken.None);
        var alerts = bench.Route.Letters.Where(letter => letter.Subject!.StartsWith("A dose increase", StringComparison.Ordinal)).ToArray();
        Assert.NotEmpty(alerts);
        var drawn = alerts.Where(letter => letter.BodyParts.OfType<MimePart>().Any(part => part.ContentType.MimeType == "image/png")).ToArray();
        Assert.NotEmpty(drawn);
        foreach (var letter in alerts)
        {
            Assert.Equal(drawn.Contains(letter), letter.TextBody!.Contains("The picture, in words: ", StringComparison.Ordinal));
            Assert.Equal(!drawn.Contains(letter), letter.TextBody!.Contains("No picture: ", StringComparison.Ordinal) && !letter.HtmlBody!.Contains("<img", StringComparison.Ordinal));
        }
    }
}
