using KitMesh.Agent.Options;
using KitMesh.Devices;
using KitMesh.Devices.Options;
using KitMesh.Domain.Kit;
using KitMesh.Tests.Architecture;

namespace KitMesh.Tests.Agent;

public sealed class AgentFileTests
{
    private const string Sound = "node: ridge-power\ndata: data\n";

    [Fact]
    public void Parse_LeastFile_TakesDocumentedDefaults()
    {
        AgentOptions options = Parse(Sound, out _)!;

        Assert.Equal("ridge-power", options.Node.Value);
        Assert.Equal("/trip/data", options.DataFolder);
        Assert.Empty(options.Hubs);
        Assert.Equal((15 * 60, 5, 20, 3 * 86_400), ((int)options.StateEvery.TotalSeconds, (int)options.SendWait.TotalSeconds, (int)options.Linger.TotalSeconds, (int)options.KeepAcknowledged.TotalSeconds));
        Assert.Equal(DeadbandOptions.Default, options.Deadbands);
    }

    [Fact]
    public void Parse_FullFile_ReadsPacksDeadbandsAndReaders()
    {
        AgentOptions options = Parse(
            Sound + """
            hubs: [http://127.0.0.1:7433, http://127.0.0.1:7434]
            stateEvery: 1 h
            self: station board
            deadbands: {volts: 0.05 V, charge: 1 %, temperature: 0.5 K, longest: 30 min}
            packs:
              - {name: pack a, bank: main bank, chemistry: lfp, series: 4, capacity: 100 Ah, minChargeTemperature: 3 °C, maxCellVolts: 3.6 V}
            readers:
              - {name: own battery, kind: power-supply, supply: BAT0, load: station board}
            """,
            out _)!;

        Assert.Equal(2, options.Hubs.Count);
        Assert.Equal((0.05, 0.01, 0.5), (options.Deadbands.Volts.Value, options.Deadbands.Charge, options.Deadbands.Temperature.Value));
        Pack pack = Assert.Single(options.Packs);
        Assert.Equal((Chemistry.Lfp, 4, 100d, 3d, 3.6), (pack.Chemistry, pack.Series, pack.Capacity.Value, pack.MinChargeTemperature!.Value.Value, pack.MaxCellVolts!.Value.Value));
        Assert.Equal("own battery", Assert.Single(options.Readers).Name);
    }

    [Theory]
    [InlineData("data: d", "node", "is missing")]
    [InlineData("node: Ridge Power\ndata: d", "node", "is no node name")]
    [InlineData(Sound + "hubs: ['https://192.168.4.1:7433']", "hubs", "enrolled devices only")]
    [InlineData(Sound + "hubs: ['http://192.168.4.1:7433']", "hubs", "is not this machine")]
    [InlineData(Sound + "hubs: [base camp]", "hubs", "is no address")]
    [InlineData(Sound + "queue: 5", "queue", "does not fit")]
    [InlineData(Sound + "sendwait: 5 s", "sendwait", "is not known here")]
    [InlineData(Sound + "deadbands: {volts: 5}", "deadbands.volts", "does not fit")]
    [InlineData(Sound + "packs: [{name: a, chemistry: lithium, series: 4, capacity: 100 Ah}]", "packs[0].chemistry", "does not fit")]
    [InlineData(Sound + "packs: [{name: a, chemistry: lfp, series: 4, capacity: 100}]", "packs[0].capacity", "does not fit")]
    [InlineData(Sound + "readers: [{name: a, kind: telepathy}]", "readers[0].kind", "is no kind of reader")]
    [InlineData(Sound + "readers: [{name: a, kind: typed, folder: x}, {name: a, kind: typed, folder: y}]", "readers[1].name", "Two readers")]
    [InlineData(Sound + "readers: [{name: a, kind: typed, folder: x, colour: red}]", "readers[0].colour", "is not known here")]
    public void Parse_Mistake_NamesFileKeyAndMend(string text, string key, string words)
    {
        Assert.Null(Parse(text, out List<OptionProblem> problems));

        OptionProblem problem = Assert.Single(problems);
        Assert.Equal(("/trip/agent.yaml", key), (problem.File, problem.Key));
        Assert.Contains(words, problem.What, StringComparison.Ordinal);
        Assert.NotEmpty(problem.Mend);
    }

    [Fact]
    public void Parse_EveryShippedExample_IsSound()
    {
        string[] examples = Directory.GetFiles(SourceTree.PathTo("deploy"), "agent*.yaml", SearchOption.AllDirectories);

        Assert.NotEmpty(examples);
        foreach (string file in examples)
        {
            var problems = new List<OptionProblem>();
            AgentFile.Parse(file, File.ReadAllText(file), ReaderCatalogue.All, problems);
            Assert.Empty(problems);
        }
    }

    private static AgentOptions? Parse(string text, out List<OptionProblem> problems) =>
        AgentFile.Parse("/trip/agent.yaml", text, ReaderCatalogue.All, problems = []);
}
