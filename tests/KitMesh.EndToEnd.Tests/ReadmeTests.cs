using System.Text.RegularExpressions;

namespace KitMesh.EndToEnd.Tests;

/// <summary>Commands that README and the command page print must be commands that this executable understands.</summary>
public sealed class ReadmeTests
{
    public static TheoryData<string> Pages => ["README.md", "docs/cli.md"];

    [Theory]
    [MemberData(nameof(Pages))]
    public async Task Page_EveryVerbItNames_Exists(string name)
    {
        string page = Checkout.Read(name.Split('/'));
        string[] verbs = [.. Regex.Matches(page, @"(?:kitmesh|KitMesh\.Cli --) ([a-z]+)\b").Select(match => match.Groups[1].Value).Distinct(StringComparer.Ordinal)];
        Executable.Finished top = await Executable.RunAsync("--help");

        Assert.NotEmpty(verbs);
        Assert.All(verbs, verb => Assert.Matches(new Regex($@"^  {verb}\b", RegexOptions.Multiline), top.Output));
    }
}
