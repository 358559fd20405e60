using System.Text.Json;
using System.Text.Json.Serialization;

namespace KitMesh.Hub.Json;

/// <summary>Writes one domain value as a plain number or string. The hub never reads results back.</summary>
internal sealed class WritingConverter<T>(Action<Utf8JsonWriter, T> write) : JsonConverter<T>
{
    public override T Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        throw new NotSupportedException("Results are only written.");

    public override void Write(Utf8JsonWriter writer, T value, JsonSerializerOptions options) => write(writer, value);
}
