using System.Text.RegularExpressions;

namespace KitMesh.Tests.Architecture;

/// <summary>A table that names tests must not outlive them.</summary>
public sealed class FaultTableTests
{
    [Fact]
    public void EveryTestThatThePageNames_Exists()
    {
        string page = File.ReadAllText(SourceTree.PathTo("docs", "faults.md"));
        string[] names = [.. Regex.Matches(page, "`([A-Z][A-Za-z]+(?:_[A-Za-z0-9_]+|Tests))`").Select(match => match.Groups[1].Value).Distinct()];
        string sources = string.Join('\n', Directory.EnumerateFiles(SourceTree.PathTo("tests"), "*.cs", SearchOption.AllDirectories).Select(File.ReadAllText));

        Assert.True(names.Length > 20);
        Assert.All(names, name => Assert.Matches($@"\b{name}\b", sources));
    }
}
