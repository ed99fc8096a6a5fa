using System;
using System.IO;

namespace RefillPlanner.Service.Import;

/// <summary>The bytes of one roster file, told as they are read, and never more than a file may hold.</summary>
/// <param name="inner">Where they come from; let go with the stream.</param>
/// <param name="owner">What is let go after it; null: nothing.</param>
/// <param name="most">How many bytes the file may hold.</param>
/// <param name="file">Its name.</param>
/// <param name="tell">Told how many bytes were read; null: nobody.</param>
/// <param name="check">Looks at the bytes; null: nobody does.</param>
internal sealed class RosterStream(Stream inner, IDisposable? owner, long most, string file, Action<int>? tell, Utf8Check? check) : Stream
{
    private long _read;

    public override bool CanRead => true;

    public override bool CanSeek => false;

    public override bool CanWrite => false;

    public override long Length => throw new NotSupportedException();

    /// <summary>How many bytes were read so far.</summary>
    public override long Position
    {
        get => _read;
        set => throw new NotSupportedException();
    }

    /// <inheritdoc/>
    /// <exception cref="UnreadableFileException">The file is too large, or no UTF-8.</exception>
    public override int Read(Span<byte> buffer)
    {
        var count = inner.ReadAtLeast(buffer, Math.Min(2, buffer.Length), throwOnEndOfStream: false);
        _read += count;
        if (_read > most)
            throw new UnreadableFileException(new Refusal(file, 1, "", "", $"the file is larger than {most / (1024 * 1024)} MB: split it"), isWhole: false);
        if (count > 0)
            check?.Take(buffer[..count]);
        else
            check?.End();
        tell?.Invoke(count);
        return count;
    }

    public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

    public override void Flush() => throw new NotSupportedException();

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    protected override void Dispose(bool disposing)
    {
        if (disposing)
        {
            inner.Dispose();
            owner?.Dispose();
        }

        base.Dispose(disposing);
    }
}
