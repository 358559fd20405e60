using KitMesh.Hub;

namespace KitMesh.Tests.Hub;

public sealed class HubOptionsCheckTests
{
    [Fact]
    public void Problems_Defaults_None() => Assert.Empty(HubOptionsCheck.Problems(new HubOptions { DataFolder = "data" }));

    [Theory]
    [InlineData("http://127.0.0.1:0")]
    [InlineData("http://[::1]:7433")]
    [InlineData("http://localhost:7433")]
    [InlineData("http://127.8.8.8:1")]
    public void Problems_LoopbackAddress_None(string listen) =>
        Assert.Empty(HubOptionsCheck.Problems(new HubOptions { DataFolder = "data", Listen = new Uri(listen) }));

    [Theory]
    [InlineData("https://192.168.4.1:7433", true)]
    [InlineData("http://127.0.0.1:7434", false)]
    public void Problems_OtherHubThatMayBeDialled_None(string hub, bool asksWho) =>
        Assert.Empty(HubOptionsCheck.Problems(Dialling(asksWho, new Uri(hub))));

    [Theory]
    [InlineData("https://192.168.4.1:7433", false, "has no certificate")]
    [InlineData("http://192.168.4.1:7433", true, "without knowing who it is")]
    [InlineData("https://192.168.4.1:7433/v1", true, "is a path")]
    [InlineData("ftp://192.168.4.1", true, "no address of a hub")]
    public void Problems_OtherHubThatMayNotBeDialled_RefusedInWords(string hub, bool asksWho, string words) =>
        Assert.Contains(words, Assert.Single(HubOptionsCheck.Problems(Dialling(asksWho, new Uri(hub)))), StringComparison.Ordinal);

    [Fact]
    public void Problems_MoreHubsThanMayBeDialled_RefusedInWords() =>
        Assert.Contains("at most 16", Assert.Single(HubOptionsCheck.Problems(Dialling(true, [.. Enumerable.Range(1, 17).Select(i => new Uri($"https://192.168.4.{i}"))]))), StringComparison.Ordinal);

    private static HubOptions Dialling(bool asksWho, params Uri[] hubs) =>
        new() { DataFolder = "data", Hubs = hubs, Listen = new Uri(asksWho ? "https://127.0.0.1:0" : "http://127.0.0.1:0") };

    [Theory]
    [InlineData("http://0.0.0.0:7433")]
    [InlineData("http://192.168.4.1:7433")]
    [InlineData("http://[::]:7433")]
    [InlineData("http://base-camp:7433")]
    public void Problems_AddressThatStrangersReach_RefusedInWords(string listen)
    {
        string problem = Assert.Single(HubOptionsCheck.Problems(new HubOptions { DataFolder = "data", Listen = new Uri(listen) }));

        Assert.StartsWith("command line: listen: ", problem, StringComparison.Ordinal);
        Assert.Contains("strangers", problem, StringComparison.Ordinal);
        Assert.Contains("127.0.0.1", problem, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("https://0.0.0.0:7433")]
    [InlineData("https://[::]:7433")]
    [InlineData("https://192.168.4.1:7433")]
    [InlineData("https://localhost:0")]
    public void Problems_HttpsWhereOnlyEnrolledDevicesAreAnswered_None(string listen) =>
        Assert.Empty(HubOptionsCheck.Problems(new HubOptions { DataFolder = "data", Listen = new Uri(listen) }));

    [Theory]
    [InlineData("https://base-camp:7433", "is a name")]
    [InlineData("https://0.0.0.0:7433/path", "is a path")]
    [InlineData("ftp://127.0.0.1", "no address for a hub")]
    public void Problems_AddressThatIsNone_RefusedInWords(string listen, string words) =>
        Assert.Contains(words, Assert.Single(HubOptionsCheck.Problems(new HubOptions { DataFolder = "data", Listen = new Uri(listen) })), StringComparison.Ordinal);

    [Fact]
    public void Problems_ValuesOutOfRange_EachNamesKeyAndRange()
    {
        var options = new HubOptions { DataFolder = " ", MaxReportBytes = 1, MaxSessions = 0, CallTimeout = TimeSpan.Zero, Origin = "hub.yaml" };

        IReadOnlyList<string> problems = HubOptionsCheck.Problems(options);

        Assert.Equal(4, problems.Count);
        Assert.All(problems, problem => Assert.StartsWith("hub.yaml: ", problem, StringComparison.Ordinal));
        Assert.Contains("Use 1024 to 1048576.", problems[1], StringComparison.Ordinal);
    }
}
