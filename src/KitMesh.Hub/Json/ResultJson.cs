using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Hub.Json;

/// <summary>How results look as JSON: camelCase names, bare numbers in the documented unit, ISO 8601 times, seconds for durations.</summary>
public static class ResultJson
{
    /// <summary>The options that everything is written with.</summary>
    public static JsonSerializerOptions Options { get; } = Make();

    private static JsonSerializerOptions Make()
    {
        var options = new JsonSerializerOptions(JsonSerializerDefaults.Web)
        {
            Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
            NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals,
        };
        options.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.CamelCase));
        options.Converters.Add(new QuantityConverter());
        options.Converters.Add(new WritingConverter<Celsius>((writer, value) => writer.WriteNumberValue(value.Value)));
        options.Converters.Add(new WritingConverter<StateOfCharge>((writer, value) => writer.WriteNumberValue(value.Value)));
        options.Converters.Add(new WritingConverter<Probability>((writer, value) => writer.WriteNumberValue(value.Value)));
        options.Converters.Add(new WritingConverter<ByteCount>((writer, value) => writer.WriteNumberValue(value.Value)));
        options.Converters.Add(new WritingConverter<KitId>((writer, value) => writer.WriteStringValue(value.Value)));
        options.Converters.Add(new WritingConverter<NodeId>((writer, value) => writer.WriteStringValue(value.Value)));
        options.Converters.Add(new WritingConverter<OriginId>((writer, value) => writer.WriteStringValue(value.ToString())));
        options.Converters.Add(new WritingConverter<ClipHash>((writer, value) => writer.WriteStringValue(value.ToString())));
        options.Converters.Add(new WritingConverter<Instant>((writer, value) => writer.WriteStringValue(InstantPattern.ExtendedIso.Format(value))));
        options.Converters.Add(new WritingConverter<LocalDate>((writer, value) => writer.WriteStringValue(LocalDatePattern.Iso.Format(value))));
        options.Converters.Add(new WritingConverter<Duration>((writer, value) => writer.WriteNumberValue(value.TotalSeconds)));
        return options;
    }
}
