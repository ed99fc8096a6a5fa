using System;
using System.Buffers;
using System.Text;
using System.Text.Unicode;

namespace RefillPlanner.Service.Import;

/// <summary>Looks at the bytes of a file as they pass, and stops at the first that is not UTF-8.</summary>
internal sealed class Utf8Check(string file)
{
    // The first bytes of a letter whose last ones have not come yet.
    private readonly byte[] _begun = new byte[4];
    private int _begunCount;
    private bool _hasBegun;
    private int _line = 1;

    /// <summary>Takes the next bytes; at first at least two, if the file has so many.</summary>
    /// <exception cref="UnreadableFileException">They are not UTF-8.</exception>
    public void Take(ReadOnlySpan<byte> bytes)
    {
        JudgeStart(bytes);
        bytes = FinishLetter(bytes);
        if (bytes.IsEmpty)
            return;
        var whole = bytes[..^UnfinishedLength(bytes)];
        if (!Utf8.IsValid(whole))
            throw At(whole);
        _line += whole.Count((byte)'\n');
        bytes[whole.Length..].CopyTo(_begun);
        _begunCount = bytes.Length - whole.Length;
    }

    /// <summary>There are no more bytes.</summary>
    /// <exception cref="UnreadableFileException">The last letter is not finished.</exception>
    public void End()
    {
        if (_begunCount > 0)
            throw Foreign(_begun[0]);
    }

    // A mark of UTF-16, or a NUL beside a letter, which is how UTF-16 without a mark begins.
    private void JudgeStart(ReadOnlySpan<byte> bytes)
    {
        if (!_hasBegun && bytes is ([0xFF, 0xFE, ..] or [0xFE, 0xFF, ..] or [0, _, ..] or [_, 0, ..]))
            throw new UnreadableFileException(new Refusal(file, 1, "", "", "the file is UTF-16: save it as UTF-8"));
        _hasBegun = true;
    }

    private ReadOnlySpan<byte> FinishLetter(ReadOnlySpan<byte> bytes)
    {
        while (_begunCount > 0 && !bytes.IsEmpty)
        {
            _begun[_begunCount++] = bytes[0];
            bytes = bytes[1..];
            switch (Rune.DecodeFromUtf8(_begun.AsSpan(0, _begunCount), out _, out _))
            {
                case OperationStatus.Done:
                    _begunCount = 0;
                    break;
                case OperationStatus.InvalidData:
                    throw Foreign(_begun[0]);
            }
        }

        return bytes;
    }

    private static int UnfinishedLength(ReadOnlySpan<byte> bytes)
    {
        for (var length = 1; length <= Math.Min(3, bytes.Length); length++)
        {
            if (Rune.DecodeFromUtf8(bytes[^length..], out _, out _) == OperationStatus.NeedMoreData)
                return length;
        }

        return 0;
    }

    private UnreadableFileException At(ReadOnlySpan<byte> bytes)
    {
        while (Rune.DecodeFromUtf8(bytes, out var letter, out var length) == OperationStatus.Done)
        {
            _line += letter.Value == '\n' ? 1 : 0;
            bytes = bytes[length..];
        }

        return Foreign(bytes[0]);
    }

    private UnreadableFileException Foreign(byte found) =>
        new(new Refusal(file, _line, "", $"byte {found:X2}", "the file is not UTF-8 (Windows-1252?): save it as UTF-8"));
}
