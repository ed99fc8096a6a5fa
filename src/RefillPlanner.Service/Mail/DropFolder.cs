using System;
using System.IO;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using MimeKit;

namespace RefillPlanner.Service.Mail;

/// <summary>Writes each letter as an <c>.eml</c> file, whole or not at all. The same letter takes the same name.</summary>
/// <param name="folder">Where to; made where it is missing.</param>
public sealed class DropFolder(string folder) : IMailRoute
{
    private static readonly char[] NotInNames = [.. Path.GetInvalidFileNameChars(), '@'];

    /// <inheritdoc/>
    public async Task<Delivery> SendAsync(MimeMessage letter, CancellationToken cancellation)
    {
        var address = string.Join('-', letter.To.Mailboxes.Single().Address.Split(NotInNames));
        var name = $"{letter.Date:yyyyMMdd-HHmm}-{address}-{letter.MessageId![..8]}.eml";
        var part = Path.Combine(folder, name + ".part");
        try
        {
            Directory.CreateDirectory(folder);
            await using (var file = new FileStream(part, FileMode.Create, FileAccess.Write))
            {
                await letter.WriteToAsync(file, cancellation);
                file.Flush(flushToDisk: true);
            }

            File.Move(part, Path.Combine(folder, name), overwrite: true);
            return Delivery.Of(DeliveryOutcome.Accepted, $"written to {name}");
        }
        catch (OperationCanceledException)
        {
            return Delivery.Of(DeliveryOutcome.ServerAway, Delivery.Stopped);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return Delivery.Of(DeliveryOutcome.ServerAway, $"{folder} cannot be written: {failure.Message}");
        }
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => ValueTask.CompletedTask;
}
