using System.CommandLine;
using KitMesh.Cli.Clocks;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Testing;

namespace KitMesh.Tests.Cli;

public sealed class CommandFrameTests : IDisposable
{
    private readonly StringWriter _output = new();
    private readonly StringWriter _error = new();
    private readonly StopRequest _stop = new();

    public void Dispose() => _stop.Dispose();

    [Fact]
    public void Tree_HasNoVerbTwice_AndEveryVerbAndOptionIsExplained()
    {
        RootCommand root = CommandTree.Build(Surroundings());

        Assert.All(Commands(root), command =>
        {
            Assert.NotEqual("", command.Description ?? "");
            Assert.All(command.Options, option => Assert.False(string.IsNullOrWhiteSpace(option.Description), $"{command.Name} {option.Name}"));
            Assert.Equal(command.Subcommands.Count, command.Subcommands.Select(sub => sub.Name).Distinct(StringComparer.Ordinal).Count());
        });
    }

    [Fact]
    public async Task Run_RangedOptionOutOfRange_NamesTheRange()
    {
        ExitCode code = await CommandLine.RunAsync(["demo", "--days", "40"], Surroundings());

        Assert.Equal(ExitCode.BadInput, code);
        Assert.Contains("--days takes a number from 1 to 26, not \"40\".", _error.ToString(), StringComparison.Ordinal);
        Assert.Equal("", _output.ToString());
    }

    [Theory]
    [InlineData("There is no command \"outlok\" here. Did you mean \"outlook\"?", "outlok")]
    [InlineData("There is no option \"--temas\" here. Did you mean \"--team\"?", "advice", "--temas")]
    [InlineData("There is no further word \"extra\" here.", "advice", "extra")]
    [InlineData("There is no command \"extra\" here.", "ledger", "extra")]
    [InlineData("Say what to do: advice, agent, ", "--json")]
    [InlineData("Say what to do: air, charge, ", "calc")]
    public async Task Run_WrongWords_SaysOneThingInPlainWords(string said, params string[] words)
    {
        ExitCode code = await CommandLine.RunAsync(words, Surroundings());

        Assert.Equal(ExitCode.BadInput, code);
        Assert.StartsWith($"kitmesh: {said}", _error.ToString(), StringComparison.Ordinal);
        Assert.Equal(2, _error.ToString().TrimEnd().Split('\n').Length);
    }

    [Fact]
    public void Paragraph_LongWords_AreBrokenAtBlanksAndHang()
    {
        new DataOut(Surroundings()).Paragraph($"1. {string.Join(' ', Enumerable.Repeat("warm", 40))}", indent: 2, hanging: 3);

        string[] lines = _output.ToString().TrimEnd().Split('\n');
        Assert.Equal(3, lines.Length);
        Assert.StartsWith("  1. warm", lines[0], StringComparison.Ordinal);
        Assert.All(lines.Skip(1), line => Assert.StartsWith("     warm", line, StringComparison.Ordinal));
        Assert.All(lines, line => Assert.InRange(line.Length, 1, 100));
    }

    [Fact]
    public void Json_DomainValues_ArePlainNumbersAndTexts()
    {
        new DataOut(Surroundings()).Json(new
        {
            energyWh = new WattHours(12.5),
            temperatureC = new Celsius(-28),
            charge = new StateOfCharge(0.25),
            chance = new Probability(0.125),
            bytes = new ByteCount(42),
            bank = KitId.Parse("ridge bank"),
            at = Instant.FromUtc(2027, 2, 8, 1, 2, 3),
            day = new LocalDate(2027, 2, 8),
            span = Duration.FromMinutes(2),
            kind = ReportKind.CardSeen,
        });

        Assert.Equal(
            """{"energyWh":12.5,"temperatureC":-28,"charge":0.25,"chance":0.125,"bytes":42,"bank":"ridge bank","at":"2027-02-08T01:02:03Z","day":"2027-02-08","span":120,"kind":"cardSeen"}""",
            _output.ToString().TrimEnd());
    }

    [Fact]
    public void Draw_Piped_HasNoControlCodesAndNoLimitOfAScreen()
    {
        var output = new DataOut(Surroundings());

        output.Heading("[not markup]");
        output.Draw(DataOut.Table("Bank", ">Charge"));

        Assert.DoesNotContain('\u001b', _output.ToString());
        Assert.Contains("[not markup]", _output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void SystemDeviceClock_TwoReads_StayInOneBootAndDoNotStepBack()
    {
        var clock = new SystemDeviceClock(SystemClock.Instance, TimeProvider.System, RandomIds.Draw);

        var first = clock.Read();
        var second = clock.Read();

        Assert.Equal(first.Boot, second.Boot);
        Assert.True(second.MonotonicNanoseconds >= first.MonotonicNanoseconds);
    }

    private static IEnumerable<Command> Commands(Command command) => command.Subcommands.SelectMany(Commands).Prepend(command);

    private Surroundings Surroundings() => CliRun.Quiet(Instant.FromUtc(2027, 2, 8, 0, 0), _output, _error, _stop);
}
