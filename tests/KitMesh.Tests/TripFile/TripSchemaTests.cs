using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Json.Schema;
using KitMesh.Domain.Kit;
using KitMesh.Tests.Architecture;
using KitMesh.TripFile;
using YamlDotNet.Core;
using YamlDotNet.RepresentationModel;

namespace KitMesh.Tests.TripFile;

/// <summary>The schema that editors use, judged by a foreign validator (JSON Schema draft 2020-12).</summary>
public sealed class TripSchemaTests
{
    private static readonly string SchemaFile = SourceTree.PathTo("deploy", "trip.schema.json");

    public static TheoryData<string> ShippedFiles => ["deploy/trip.example.yaml", "deploy/demo/trip.yaml", "deploy/trips/two-on-skis.yaml", "deploy/trips/three-camps.yaml", "deploy/trips/boat-in-damp-heat.yaml"];

    [Fact]
    public void ShippedSchema_IsWhatTheReaderSays()
    {
        // KITMESH_WRITE_SCHEMA=1 writes the file anew after a change of keys.
        if (Environment.GetEnvironmentVariable("KITMESH_WRITE_SCHEMA") == "1")
        {
            File.WriteAllText(SchemaFile, TripSchema.Write());
        }

        Assert.Equal(TripSchema.Write(), File.ReadAllText(SchemaFile));
    }

    [Fact]
    public void ShippedPage_IsWhatTheReaderSays()
    {
        string page = SourceTree.PathTo("docs", "trip-file.md");
        if (Environment.GetEnvironmentVariable("KITMESH_WRITE_SCHEMA") == "1")
        {
            File.WriteAllText(page, TripReference.Write());
        }

        Assert.Equal(TripReference.Write(), File.ReadAllText(page));
    }

    [Theory]
    [MemberData(nameof(ShippedFiles))]
    public void ShippedFile_FitsReaderAndSchema(string name)
    {
        string text = File.ReadAllText(SourceTree.PathTo(name.Split('/')));

        TripRead read = TripText.Sound(text);

        Assert.Empty(read.Questions);
        Assert.True(Judge(text));
    }

    [Fact]
    public void DemoFile_HasTheScenarioOfThreeTeamsAnd26Days()
    {
        TripRead read = TripText.Sound(File.ReadAllText(SourceTree.PathTo("deploy", "demo", "trip.yaml")));

        Trip trip = read.Items.OfType<Trip>().Single();
        Assert.Equal(26, NodaTime.Period.DaysBetween(trip.FirstDay, trip.LastDay) + 1);
        Assert.Equal(3, read.Items.OfType<Team>().Count());
        Assert.True(read.Items.OfType<Place>().Single(place => place.Id.Value == "base camp") is { Altitude.Value: 3900, NightTemperature.Value: -28, DayTemperature.Value: -6 });
    }

    [Theory]
    [InlineData("altitude: 3900 m", "altitude: 3900")]
    [InlineData("latitude: 41.9", "lattitude: 41.9")]
    [InlineData("latitude: 41.9", "latitude: 141.9")]
    [InlineData("altitude: 3900 m", "altitude: 3900 Wh")]
    [InlineData("firstDay: 2027-02-08", "firstDay: 8 February")]
    [InlineData("zone: \"+06:00\"", "zone: six")]
    [InlineData("  - name: base team\n    home: base camp", "  - home: base camp")]
    public void WrongFile_IsRefusedByReaderAndSchemaAlike(string right, string wrong)
    {
        string text = TripText.Least.Replace(right, wrong, StringComparison.Ordinal);

        Assert.IsType<TripRefused>(TripFileReader.Read("trip.yaml", text));
        Assert.False(Judge(text));
        Assert.True(Judge(TripText.Least));
    }

    private static bool Judge(string yaml)
    {
        var stream = new YamlStream();
        stream.Load(new StringReader(yaml));
        JsonSchema schema = JsonSchema.FromText(TripSchema.Write());
        using JsonDocument instance = JsonDocument.Parse(ToJson(stream.Documents[0].RootNode)?.ToJsonString() ?? "null");
        return schema.Evaluate(instance.RootElement).IsValid;
    }

    private static JsonNode? ToJson(YamlNode node) => node switch
    {
        YamlMappingNode map => new JsonObject(map.Children.Select(pair => KeyValuePair.Create(((YamlScalarNode)pair.Key).Value!, ToJson(pair.Value)))),
        YamlSequenceNode list => new JsonArray([.. list.Children.Select(ToJson)]),
        YamlScalarNode { Style: ScalarStyle.Plain } plain when double.TryParse(plain.Value, NumberStyles.Float, CultureInfo.InvariantCulture, out double number) => JsonValue.Create(number),
        YamlScalarNode { Value: { Length: > 0 } text } => JsonValue.Create(text),
        _ => null,
    };
}
