using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Tests.TripFile;

public sealed class LinkSectionTests
{
    [Fact]
    public void Links_BudgetAndQuality_AreRead()
    {
        HubLink[] links = [.. TripText.Sound(With("""
              - from: ridge-hub
                to: base-camp
                address: https://192.168.4.1:7433
                budget: 20 MB/d
              - from: hide-hub
                to: ridge-hub
                address: http://127.0.0.1:7434
                quality: thin
              - from: hide-hub
                to: base-camp
                address: https://camp.lan:7433
            """)).Links];

        Assert.Equal(
            [
                new HubLink(NodeId.Parse("ridge-hub"), NodeId.Parse("base-camp"), new Uri("https://192.168.4.1:7433"), true, 20_000_000),
                new HubLink(NodeId.Parse("hide-hub"), NodeId.Parse("ridge-hub"), new Uri("http://127.0.0.1:7434"), true, null),
                new HubLink(NodeId.Parse("hide-hub"), NodeId.Parse("base-camp"), new Uri("https://camp.lan:7433"), false, null),
            ],
            links);
    }

    [Theory]
    [InlineData("from: ridge-hub\n    to: ridge-hub\n    address: https://a:1", "linked to itself")]
    [InlineData("from: ridge-hub\n    to: base-camp\n    address: http://192.168.4.1:7433", "no address of a hub")]
    [InlineData("from: ridge-hub\n    to: base-camp\n    address: https://a:1/path", "no address of a hub")]
    [InlineData("from: ridge-hub\n    to: base-camp\n    address: camp", "no address of a hub")]
    [InlineData("from: ridge-hub\n    to: base-camp\n    address: https://a:1\n    budget: 5 GB", "takes a size a day")]
    [InlineData("from: ridge-hub\n    to: base-camp\n    address: https://a:1\n    budget: 1 MB/h", "MB/d")]
    [InlineData("from: ridge-hub\n    to: base-camp\n    address: https://a:1\n    quality: bad", "thin")]
    [InlineData("from: Ridge Hub\n    to: base-camp\n    address: https://a:1", "no node name")]
    [InlineData("from: ridge-hub\n    to: base-camp\n    address: https://a:1\n  - from: base-camp\n    to: ridge-hub\n    address: https://b:1", "linked twice")]
    public void Links_Mistake_IsNamedWithItsMend(string entry, string words)
    {
        AssertProblem(With($"  - {entry}"), words);
    }

    private static void AssertProblem(string text, string words) =>
        Assert.Contains(TripText.Problems(text), problem => problem.ToString().Contains(words, StringComparison.Ordinal) && problem.Line > 14);

    private static string With(string links) => $"{TripText.Least.TrimEnd()}\nlinks:\n{links}\n";
}
