using System;
using System.IO;
using System.Threading;
using System.Threading.Tasks;
using MimeKit;

namespace RefillPlanner.Service.Mail;

/// <summary>Writes each letter as an <c>.eml</c> file, whole or not at all. The same letter takes the same name.</summary>
/// <param name="folder">Where to; made where it is missing.</param>
public sealed class DropFolder(string folder) : IMailRoute
{
    /// <inheritdoc/>
    public async Task<Delivery> SendAsync(MimeMessage letter, CancellationToken cancellation)
    {
        Directory.CreateDirectory(folder);
        var address = ((MailboxAddress)letter.To[0]).Address;
        var name = $"{letter.Date:yyyyMMdd-HHmm}-{address.Replace('@', '-')}-{letter.MessageId![..8]}.eml";
        var part = Path.Combine(folder, name + ".part");
        await using (var file = new FileStream(part, FileMode.Create, FileAccess.Write))
        {
            await letter.WriteToAsync(file, cancellation);
            file.Flush(flushToDisk: true);
        }

        File.Move(part, Path.Combine(folder, name), overwrite: true);
        return new Delivery(DeliveryOutcome.Accepted, $"written to {name}");
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => ValueTask.CompletedTask;
}
