using KitMesh.Cli.Frame;
using KitMesh.Tests.Architecture;

namespace KitMesh.Tests.Cli;

/// <summary>The plans that docs/plans.md prints are what its commands print.</summary>
public sealed class PlansPageTests
{
    private const string Command = "    kitmesh ";

    public static TheoryData<string, string> Plans()
    {
        var plans = new TheoryData<string, string>();
        string? command = null;
        List<string>? block = null;
        foreach (string line in File.ReadAllLines(SourceTree.PathTo("docs", "plans.md")))
        {
            if (line.StartsWith(Command, StringComparison.Ordinal))
            {
                command = line[Command.Length..];
            }
            else if (line == "```text" && command is not null)
            {
                block = [];
            }
            else if (line == "```" && block is not null)
            {
                plans.Add(command!, string.Join('\n', block));
                (command, block) = (null, null);
            }
            else
            {
                block?.Add(line);
            }
        }

        return plans;
    }

    [Fact]
    public void Page_HasThreePlans() => Assert.Equal(3, Plans().Count());

    [Theory]
    [MemberData(nameof(Plans))]
    public async Task Plan_OnThePage_IsWhatTheCommandPrints(string command, string printed)
    {
        string[] words = [.. command.Split(' ').Select(word => word.StartsWith("deploy/", StringComparison.Ordinal) ? SourceTree.PathTo(word.Split('/')) : word)];

        CliRun run = await CliRun.OfAsync(words);

        Assert.True(run.Code is ExitCode.Good or ExitCode.BadNews, run.Talk);
        Assert.Equal(Lines(printed), Lines(run.Output));
    }

    private static string[] Lines(string text) => [.. text.Split('\n').Select(line => line.TrimEnd()).SkipWhile(line => line.Length == 0).Reverse().SkipWhile(line => line.Length == 0).Reverse()];
}
