using System.Text.RegularExpressions;

namespace KitMesh.Tests.Architecture;

/// <summary>Names that tell nothing, waits that prove nothing.</summary>
public sealed partial class HouseWordTests
{
    [Fact]
    public void NoType_IsNamedForBeingLeftOver()
    {
        IEnumerable<string> vague = SourceTree
            .CSharpFiles("src")
            .SelectMany(file => VagueType().Matches(File.ReadAllText(file)).Select(match => $"{SourceTree.Relative(file)}: {match.Value}"));

        Assert.Empty(vague);
    }

    [Fact]
    public void NoTest_Sleeps()
    {
        IEnumerable<string> sleepers = SourceTree
            .CSharpFiles("tests")
            .Where(file => !file.EndsWith($"{nameof(HouseWordTests)}.cs", StringComparison.Ordinal))
            .Where(file => Sleep().IsMatch(File.ReadAllText(file)))
            .Select(SourceTree.Relative);

        Assert.Empty(sleepers);
    }

    [Fact]
    public void EveryOneType_StandsInAFileOfItsName()
    {
        IEnumerable<string> strays = SourceTree
            .CSharpFiles("src")
            .Where(file => Path.GetFileName(file) is not ("Program.cs" or "GlobalUsings.cs" or "AssemblyInfo.cs"))
            .Where(file => !file.EndsWith(".razor.cs", StringComparison.Ordinal))
            .Where(file => PublicType().Match(File.ReadAllText(file)) is { Success: true } match
                && match.Groups["name"].Value != Path.GetFileNameWithoutExtension(file).Split('.')[0])
            .Select(SourceTree.Relative);

        Assert.Empty(strays);
    }

    [GeneratedRegex(@"\b(class|record|struct|interface)\s+\w*(Manager|Helper|Helpers|Utils|Util|Extensions)\b")]
    private static partial Regex VagueType();

    [GeneratedRegex(@"Thread\.Sleep|Task\.Delay\(")]
    private static partial Regex Sleep();

    [GeneratedRegex(@"^public (?:(?:static|sealed|abstract|partial|readonly|unsafe) )*(?:class|record struct|record|struct|interface|enum) (?<name>\w+)", RegexOptions.Multiline)]
    private static partial Regex PublicType();
}
