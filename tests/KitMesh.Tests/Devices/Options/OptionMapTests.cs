using KitMesh.Devices.Options;
using KitMesh.TestKit.Devices;

namespace KitMesh.Tests.Devices.Options;

public sealed class OptionMapTests
{
    [Theory]
    [InlineData("250 ms", 0.25)]
    [InlineData("10 s", 10)]
    [InlineData("5min", 300)]
    [InlineData("2 h", 7200)]
    [InlineData("1.5 d", 129600)]
    public void Time_EachUnit_IsRead(string text, double seconds)
    {
        Assert.True(OptionTime.TryParse(text, out TimeSpan time));
        Assert.Equal(seconds, time.TotalSeconds);
    }

    [Theory]
    [InlineData("10")]
    [InlineData("ten s")]
    [InlineData("-1 s")]
    [InlineData("1e300 d")]
    public void Time_NoTime_IsNot(string text) => Assert.False(OptionTime.TryParse(text, out _));

    [Fact]
    public void Configure_EveryMistake_IsFoundInOnePassWithItsLineAndRange()
    {
        ReaderBench.Configure("sunspec", "host: h\nport: 99999\nunit: x\ninterval: 5 parsecs\nline: carrier-pigeon\nbattery: ridge bank\nbaud: 9600", out var problems);

        Assert.Equal(
            [(2, "port"), (3, "unit"), (4, "interval"), (5, "line"), (7, "baud")],
            problems.Select(p => (p.Line, p.Key)).Order());
        Assert.Contains(problems, p => p.ToString().StartsWith("/trip/agent.yaml:4: interval: \"5 parsecs\" does not fit. Write a time from 100 ms to 1 d", StringComparison.Ordinal));
    }

    [Fact]
    public void Configure_NothingToMeasure_IsAProblem()
    {
        Assert.Null(ReaderBench.Configure("sunspec", "host: h", out var problems));
        Assert.Contains("Nothing is named", Assert.Single(problems).What, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("a: {0}", "[", 200_000)]
    [InlineData("a: {0}", "{b: ", 200_000)]
    [InlineData("a:\n {0}", "- ", 100)]
    [InlineData("a: {0}", "[", OptionMap.MaxDepth)]
    public void Parse_NestedTooDeep_SaysSoAndDoesNotOverflow(string text, string open, int times)
    {
        var problems = new List<OptionProblem>();

        Assert.Null(OptionMap.Parse("agent.yaml", text.Replace("{0}", string.Concat(Enumerable.Repeat(open, times)), StringComparison.Ordinal), problems));
        Assert.Contains("deep", Assert.Single(problems).What, StringComparison.Ordinal);
    }

    [Fact]
    public void Parse_NestedAsDeepAsAllowed_IsRead()
    {
        int lists = OptionMap.MaxDepth - 1;
        var problems = new List<OptionProblem>();

        Assert.NotNull(OptionMap.Parse("agent.yaml", $"a: {new string('[', lists)}{new string(']', lists)}", problems));
        Assert.Empty(problems);
    }

    [Fact]
    public void RefuseUnknownKeys_TypingMistake_NamesTheNearestKey()
    {
        ReaderBench.Configure("sunspec", "host: h\nbattery: b\nintervall: 5 s", out var problems);

        Assert.Equal("Did you mean \"interval\"?", Assert.Single(problems).Mend);
    }

    [Theory]
    [InlineData("")]
    [InlineData("- a list")]
    [InlineData("a: b: c")]
    [InlineData("a: [")]
    [InlineData("a: 1\n---\nb: 2")]
    public void Parse_NoMapping_SaysWhere(string text)
    {
        var problems = new List<OptionProblem>();

        Assert.Null(OptionMap.Parse("agent.yaml", text, problems));
        Assert.StartsWith("agent.yaml:", Assert.Single(problems).ToString(), StringComparison.Ordinal);
    }
}
