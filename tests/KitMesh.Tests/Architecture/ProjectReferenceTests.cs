using System.Xml.Linq;

namespace KitMesh.Tests.Architecture;

/// <summary>Who may reference whom. A new arrow is a decision: change this table and docs/architecture.md together.</summary>
public sealed class ProjectReferenceTests
{
    private static readonly Dictionary<string, string[]> Allowed = new()
    {
        ["Domain"] = [],
        ["Disk"] = [],
        ["Models"] = ["Domain"],
        ["Protocol"] = ["Domain"],
        ["Footage"] = ["Domain"],
        ["TripFile"] = ["Domain"],
        ["Demo"] = ["Domain"],
        ["Sync"] = ["Domain", "Disk"],
        ["Offload"] = ["Domain", "Footage", "Disk"],
        ["Storage"] = ["Domain", "Protocol", "Sync", "Disk"],
        ["Outlook"] = ["Domain", "Models", "Footage"],
        ["Alerts"] = ["Domain", "Models"],
        ["Devices"] = ["Domain", "Offload"],
        ["Agent"] = ["Domain", "Protocol", "Sync", "Disk", "Devices", "Alerts"],
        ["Export"] = ["Domain", "Outlook", "Footage", "Storage"],
        ["Hub"] = ["Domain", "Disk", "Models", "Protocol", "Footage", "TripFile", "Sync", "Offload", "Storage", "Outlook", "Alerts", "Export"],
        ["Cli"] =
        [
            "Domain", "Disk", "Models", "Protocol", "Footage", "TripFile", "Demo", "Sync", "Offload", "Storage", "Outlook",
            "Alerts", "Devices", "Agent", "Export", "Hub",
        ],
    };

    public static TheoryData<string> Rooms => [.. Allowed.Keys];

    [Theory]
    [MemberData(nameof(Rooms))]
    public void Room_References_OnlyWhatTheHousePlanAllows(string room)
    {
        XDocument project = XDocument.Load(SourceTree.PathTo("src", $"KitMesh.{room}", $"KitMesh.{room}.csproj"));
        IEnumerable<string> references = project
            .Descendants("ProjectReference")
            .Select(reference => Path.GetFileNameWithoutExtension(reference.Attribute("Include")!.Value)["KitMesh.".Length..]);

        Assert.Empty(references.Except(Allowed[room]));
    }

    [Fact]
    public void SourceFolder_HoldsExactlyTheRoomsOfThePlan()
    {
        IEnumerable<string> rooms = Directory
            .GetDirectories(SourceTree.PathTo("src"))
            .Select(folder => Path.GetFileName(folder)["KitMesh.".Length..]);

        Assert.Equal(Allowed.Keys.Order(StringComparer.Ordinal), rooms.Order(StringComparer.Ordinal));
    }

    [Fact]
    public void TransitiveReferences_AreSwitchedOff()
    {
        XDocument props = XDocument.Load(SourceTree.PathTo("Directory.Build.props"));

        Assert.Equal("true", props.Descendants("DisableTransitiveProjectReferences").Single().Value);
    }
}
