using System.Text.Json;
using System.Text.Json.Serialization;
using KitMesh.Domain.Quantities;

namespace KitMesh.Hub.Json;

/// <summary>Writes every quantity as its bare number.</summary>
internal sealed class QuantityConverter : JsonConverterFactory
{
    public override bool CanConvert(Type typeToConvert) =>
        typeToConvert.IsValueType
        && typeToConvert.GetInterfaces().Any(face => face.IsGenericType && face.GetGenericTypeDefinition() == typeof(IQuantity<>));

    public override JsonConverter CreateConverter(Type typeToConvert, JsonSerializerOptions options) =>
        (JsonConverter)Activator.CreateInstance(typeof(Converter<>).MakeGenericType(typeToConvert))!;

    private sealed class Converter<T> : JsonConverter<T>
        where T : struct, IQuantity<T>
    {
        public override T Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => T.Of(reader.GetDouble());

        public override void Write(Utf8JsonWriter writer, T value, JsonSerializerOptions options) => writer.WriteNumberValue(value.Value);
    }
}
