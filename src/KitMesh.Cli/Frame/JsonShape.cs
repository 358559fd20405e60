using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Cli.Frame;

/// <summary>How values look in JSON: camelCase names, numbers in the unit that the name ends with, times as ISO 8601.</summary>
internal static class JsonShape
{
    /// <summary>The options that every verb prints with.</summary>
    public static readonly JsonSerializerOptions Options = Make();

    private static JsonSerializerOptions Make()
    {
        var options = new JsonSerializerOptions(JsonSerializerDefaults.Web)
        {
            Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
            NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals,
        };
        options.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.CamelCase));
        options.Converters.Add(new QuantityJson());
        options.Converters.Add(new PlainJson<Celsius>((writer, value) => writer.WriteNumberValue(value.Value)));
        options.Converters.Add(new PlainJson<StateOfCharge>((writer, value) => writer.WriteNumberValue(value.Value)));
        options.Converters.Add(new PlainJson<Probability>((writer, value) => writer.WriteNumberValue(value.Value)));
        options.Converters.Add(new PlainJson<ByteCount>((writer, value) => writer.WriteNumberValue(value.Value)));
        options.Converters.Add(new PlainJson<KitId>((writer, value) => writer.WriteStringValue(value.Value)));
        options.Converters.Add(new PlainJson<NodeId>((writer, value) => writer.WriteStringValue(value.Value)));
        options.Converters.Add(new PlainJson<OriginId>((writer, value) => writer.WriteStringValue(value.ToString())));
        options.Converters.Add(new PlainJson<ClipHash>((writer, value) => writer.WriteStringValue(value.ToString())));
        options.Converters.Add(new PlainJson<Instant>((writer, value) => writer.WriteStringValue(InstantPattern.ExtendedIso.Format(value))));
        options.Converters.Add(new PlainJson<LocalDate>((writer, value) => writer.WriteStringValue(LocalDatePattern.Iso.Format(value))));
        options.Converters.Add(new PlainJson<Duration>((writer, value) => writer.WriteNumberValue(value.TotalSeconds)));
        return options;
    }
}
