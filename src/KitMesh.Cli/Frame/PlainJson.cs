using System.Text.Json;
using System.Text.Json.Serialization;

namespace KitMesh.Cli.Frame;

/// <summary>Prints one domain value as a plain number or string. Commands only write JSON, so it does not read.</summary>
internal sealed class PlainJson<T>(Action<Utf8JsonWriter, T> write) : JsonConverter<T>
{
    public override T Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        throw new NotSupportedException("Commands print JSON; they do not read it back into domain values.");

    public override void Write(Utf8JsonWriter writer, T value, JsonSerializerOptions options) => write(writer, value);
}
