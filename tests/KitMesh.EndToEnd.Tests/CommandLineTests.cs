using System.Text.RegularExpressions;

namespace KitMesh.EndToEnd.Tests;

/// <summary>Every command with no words, wrong words and a hub that is not there: exit codes as docs/cli.md gives them.</summary>
public sealed class CommandLineTests
{
    private const string NoHub = "http://127.0.0.1:9";

    [Fact]
    public async Task NoWords_SaysHowAndReturns2()
    {
        Executable.Finished run = await Executable.RunAsync();

        Assert.Equal(2, run.Code);
        Assert.Equal("", run.Output);
        Assert.Contains("--help", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("hub")]
    [InlineData("agent")]
    public async Task CommandWithoutItsOptions_Returns2AndNamesThem(string verb)
    {
        Executable.Finished run = await Executable.RunAsync(verb);

        Assert.Equal(2, run.Code);
        Assert.Equal("", run.Output);
        Assert.Contains("is required", run.Error, StringComparison.Ordinal);
        Assert.Contains($"kitmesh {verb} --help", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("outlook")]
    [InlineData("ledger")]
    [InlineData("advice")]
    public async Task Question_WithoutAHub_Returns3AndWritesNothingToStdout(string verb)
    {
        Executable.Finished run = await Executable.RunAsync(verb, "--hub", NoHub, "--json");

        Assert.Equal(3, run.Code);
        Assert.Equal("", run.Output);
        Assert.Contains("Is it running", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("weather")]
    [InlineData("demo", "--sped", "3")]
    [InlineData("demo", "--speed", "fast")]
    [InlineData("demo", "--days", "27")]
    [InlineData("demo", "--seed", "0")]
    [InlineData("outlook", "--hub", "nowhere")]
    [InlineData("outlook", "--paths", "-1")]
    [InlineData("hub", "--data", "/proc/none", "--listen", "http://0.0.0.0:1")]
    [InlineData("hub", "--data", "/tmp", "--node", "Base Hub")]
    [InlineData("agent", "--config", "/nowhere/agent.yaml")]
    [InlineData("hub", "--data", "/tmp", "--trip", "/nowhere/trip.yaml")]
    public async Task WrongWords_Return2AndOneMessage(params string[] words)
    {
        Executable.Finished run = await Executable.RunAsync(words);

        Assert.Equal(2, run.Code);
        Assert.Equal("", run.Output);
        Assert.StartsWith("kitmesh: ", run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("")]
    [InlineData("hub")]
    [InlineData("agent")]
    [InlineData("demo")]
    [InlineData("outlook")]
    [InlineData("ledger")]
    [InlineData("advice")]
    public async Task Help_IsData_WithoutControlCodes(string verb)
    {
        Executable.Finished run = await Executable.RunAsync([.. verb.Length == 0 ? [] : new[] { verb }, "--help"]);

        Assert.Equal(0, run.Code);
        Assert.Equal("", run.Error);
        Assert.Contains("Usage:", run.Output, StringComparison.Ordinal);
        Assert.DoesNotContain('\u001b', run.Output);
    }

    [Fact]
    public async Task Version_IsOneLine()
    {
        Executable.Finished run = await Executable.RunAsync("--version");

        Assert.Equal(0, run.Code);
        Assert.Matches(new Regex(@"^[0-9]+\.[0-9]+\.[0-9]+\S*\s*$"), run.Output);
    }

    [Fact]
    public async Task Documentation_NamesEveryVerbAndOption()
    {
        string page = Checkout.Read("docs", "cli.md");
        Executable.Finished top = await Executable.RunAsync("--help");
        foreach (string verb in Verbs(top.Output))
        {
            Assert.True(page.Contains($"`kitmesh {verb}", StringComparison.Ordinal), $"docs/cli.md does not tell of {verb}.");
            Executable.Finished help = await Executable.RunAsync(verb, "--help");
            foreach (Match option in Regex.Matches(help.Output, @"^  (--[a-z-]+)", RegexOptions.Multiline))
            {
                Assert.True(page.Contains(option.Groups[1].Value, StringComparison.Ordinal), $"docs/cli.md does not tell of {verb} {option.Groups[1].Value}.");
            }
        }
    }

    private static IEnumerable<string> Verbs(string help) =>
        Regex.Matches(help[help.IndexOf("Commands:", StringComparison.Ordinal)..], "^  ([a-z]+)", RegexOptions.Multiline).Select(match => match.Groups[1].Value);
}
