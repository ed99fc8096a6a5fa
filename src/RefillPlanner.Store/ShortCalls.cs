using System;
using System.Runtime.InteropServices;

namespace RefillPlanner.Store;

/// <summary>
/// The calls of SQLite that only fetch or hand over a value, made without telling the garbage collector, which would take several times as long as
/// the call itself. None of them waits for anything or calls back. All others go through the library that brings SQLite.
/// </summary>
internal static unsafe partial class ShortCalls
{
    // The same library.
    private const string Library = "e_sqlite3";

    // SQLite makes a copy of its own before the call returns.
    private static readonly nint Transient = -1;

    /// <summary>The type of a column of the present row: <c>SQLITE_INTEGER</c> and so on.</summary>
    [LibraryImport(Library, EntryPoint = "sqlite3_column_type"), SuppressGCTransition]
    public static partial int TypeOf(nint statement, int column);

    /// <summary>A column of the present row as a whole number.</summary>
    [LibraryImport(Library, EntryPoint = "sqlite3_column_int64"), SuppressGCTransition]
    public static partial long Long(nint statement, int column);

    /// <summary>A column of the present row as bytes; they are there until the next row.</summary>
    public static ReadOnlySpan<byte> Bytes(nint statement, int column)
    {
        var bytes = Blob(statement, column);
        return new ReadOnlySpan<byte>(bytes, Length(statement, column));
    }

    /// <summary>Gives a parameter a whole number.</summary>
    [LibraryImport(Library, EntryPoint = "sqlite3_bind_int64"), SuppressGCTransition]
    public static partial int Bind(nint statement, int parameter, long number);

    /// <summary>Gives a parameter NULL.</summary>
    [LibraryImport(Library, EntryPoint = "sqlite3_bind_null"), SuppressGCTransition]
    public static partial int BindNull(nint statement, int parameter);

    /// <summary>Gives a parameter a text in UTF-8; none is the empty text.</summary>
    public static int BindText(nint statement, int parameter, ReadOnlySpan<byte> text)
    {
        fixed (byte* bytes = text)
        {
            byte none = 0;
            return Text(statement, parameter, bytes is null ? &none : bytes, text.Length, Transient);
        }
    }

    /// <summary>Gives a parameter bytes, also none.</summary>
    public static int BindBlob(nint statement, int parameter, ReadOnlySpan<byte> blob)
    {
        fixed (byte* bytes = blob)
        {
            byte none = 0;
            return Blob(statement, parameter, bytes is null ? &none : bytes, blob.Length, Transient);
        }
    }

    [LibraryImport(Library, EntryPoint = "sqlite3_column_blob"), SuppressGCTransition]
    private static partial byte* Blob(nint statement, int column);

    [LibraryImport(Library, EntryPoint = "sqlite3_column_bytes"), SuppressGCTransition]
    private static partial int Length(nint statement, int column);

    [LibraryImport(Library, EntryPoint = "sqlite3_bind_text"), SuppressGCTransition]
    private static partial int Text(nint statement, int parameter, byte* bytes, int length, nint destructor);

    [LibraryImport(Library, EntryPoint = "sqlite3_bind_blob"), SuppressGCTransition]
    private static partial int Blob(nint statement, int parameter, byte* bytes, int length, nint destructor);
}
