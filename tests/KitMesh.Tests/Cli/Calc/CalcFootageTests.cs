using KitMesh.Cli.Commands.Calc;
using KitMesh.Cli.Frame;
using KitMesh.Footage.Risk;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Cli.Calc;

/// <summary>calc loss and calc storage as people and scripts call them.</summary>
public sealed class CalcFootageTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-calc-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Loss_EveryGroupRowOfTheTable_IsMetToNineDigits()
    {
        foreach (PublishedRow row in PublishedTable.Load("loss-probability.csv").Rows.Where(row => row["case"] == "groups"))
        {
            CalcAnswer answer = Ask(
                new CalcLossCommand(),
                ("AFR", row["AFR"]), ("days", row["days"]), ("shock_p_per_container", row["shock_p_per_container"]), ("groups", row["groups"]), ("beta", "0"));

            Assert.Equal(1, (double)answer.Cells[0]! / row.Number("q_copy"), 1e-9);
            Assert.Equal(1, (double)answer.Cells[1]! / row.Number("P_loss"), 1e-9);
        }
    }

    [Fact]
    public void Storage_WithoutAnyRate_NamesBothWaysToGiveOne()
    {
        new CalcStorageCommand().Answer(Row(("Mb_per_s", ""), ("sample_rate_Hz", ""), ("bits", "24"), ("channels", "1"), ("hours_per_day", ""), ("days", ""), ("copies", "1")), out string error);

        Assert.Contains("data rate (Mb_per_s) or, for sound, a sample rate (sample_rate_Hz)", error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("0.02", "42", "0.01", "2+x", "groups")]
    [InlineData("0.02", "42", "0.01", "0", "groups")]
    [InlineData("0.02", "42", "0.01", "60+5", "64 copies")]
    [InlineData("1", "42", "0.01", "1", "AFR")]
    [InlineData("0.02", "-1", "0.01", "1", "days")]
    [InlineData("0.02", "42", "1.5", "1", "shock_p_per_container")]
    public void Loss_BadInput_NamesTheColumn(string afr, string days, string shock, string groups, string said)
    {
        new CalcLossCommand().Answer(Row(("AFR", afr), ("days", days), ("shock_p_per_container", shock), ("groups", groups), ("beta", "0")), out string error);

        Assert.Contains(said, error, StringComparison.Ordinal);
    }

    [Fact]
    public void Storage_EveryRowOfTheTable_IsMet()
    {
        foreach (PublishedRow row in PublishedTable.Load("media-rates.csv").Rows)
        {
            CalcAnswer answer = Ask(new CalcStorageCommand(), ("Mb_per_s", row["Mb_per_s"]), ("copies", "1"));

            Assert.Equal(row.Number("bytes_per_s"), (double)answer.Cells[0]!, 6);
            Assert.Equal(row.Number("GB_per_hour_decimal"), (double)answer.Cells[1]!, 9);
        }
    }

    [Fact]
    public void Tree_NestedAndCrossing_IsReadAndComputed()
    {
        LossTreeFile tree = Read("""
            days: 42
            drives:
              - {name: A, afr: 0.02}
              - {name: B, afr: 0.02}
              - {name: C, afr: 0.02}
            holds:
              - name: sled
                chance: 0.001
                holds:
                  - {name: case 1, chance: 0.01, holds: [A, B]}
                  - {name: case 2, chance: 0.01, holds: [C]}
            shocks:
              - {name: batch, chance: 0.0005, drives: [A, C]}
            clips:
              - {name: day 1, copies: [A, B, C], clips: 40, gigabytes: 200, bit_error_rate: 1e-15}
              - {name: day 2, copies: [A, B]}
            """);

        double q = FailureChance.OfDrive(0.02, 42);

        // By hand: the sled; else the batch takes A and leaves B, and case 1; else both drives.
        double withBatch = 0.01 + (0.99 * q);
        double without = 0.01 + (0.99 * q * q);
        double expected = 0.001 + (0.999 * ((0.0005 * withBatch) + (0.9995 * without)));
        Assert.Equal(expected, tree.Model.ClipLost(tree.Clips[1].Set), 1e-15);
        Assert.True(tree.Model.AnyLost([.. tree.Clips.Select(clip => clip.Set)]).IsExact);
    }

    [Theory]
    [InlineData("days: 42\ndrives: [{name: A, afr: 2}]\nclips: []", "line 2")]
    [InlineData("days: 42\ndrives: [{name: A, afr: 0.02}]\nclips: [{name: x, copies: [B]}]", "no drive is named \"B\"")]
    [InlineData("days: 42\ndrifes: []", "unknown key \"drifes\"")]
    [InlineData("days: [", "line")]
    [InlineData("- 1", "one mapping")]
    public void Tree_WithAMistake_NamesItsLine(string text, string said)
    {
        CommandFault fault = Assert.Throws<CommandFault>(() => Read(text));

        Assert.Equal(ExitCode.BadInput, fault.Code);
        Assert.Contains(said, fault.Message, StringComparison.Ordinal);
    }

    private static CalcRow Row(params (string Name, string Value)[] cells) => new(cells.ToDictionary(cell => cell.Name, cell => cell.Value).GetValueOrDefault);

    private static CalcAnswer Ask(CalcVerb verb, params (string Name, string Value)[] cells)
    {
        CalcAnswer answer = verb.Answer(Row(cells), out string error);
        Assert.Equal("", error);
        Assert.NotNull(answer.Words);
        return answer;
    }

    private LossTreeFile Read(string text)
    {
        string file = Path.Combine(_folder, "tree.yaml");
        File.WriteAllText(file, text);
        return LossTreeFile.Read(new FileInfo(file));
    }
}
