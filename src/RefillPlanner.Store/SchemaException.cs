using System;

namespace RefillPlanner.Store;

/// <summary>The database file does not fit this program; the message is one sentence for the person who runs it.</summary>
public sealed class SchemaException(string message) : Exception(message);
