using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using NodaTime;
using NodaTime.Text;

namespace RefillPlanner.Service.Commands;

/// <summary>How commands write JSON: names in lower case with underscores, dates as ISO 8601, letters as they are.</summary>
internal static class CommandJson
{
    /// <summary>The options.</summary>
    public static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.SnakeCaseLower,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        Converters = { new DateWriter() },
    };

    private sealed class DateWriter : JsonConverter<LocalDate>
    {
        public override LocalDate Read(ref Utf8JsonReader reader, System.Type typeToConvert, JsonSerializerOptions options) =>
            LocalDatePattern.Iso.Parse(reader.GetString()!).GetValueOrThrow();

        public override void Write(Utf8JsonWriter writer, LocalDate value, JsonSerializerOptions options) =>
            writer.WriteStringValue(LocalDatePattern.Iso.Format(value));
    }
}
