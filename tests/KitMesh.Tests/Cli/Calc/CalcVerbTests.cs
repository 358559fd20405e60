using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Commands.Calc;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Time;
using NodaTime.Testing;

namespace KitMesh.Tests.Cli.Calc;

/// <summary>The calc verbs as people and scripts call them. The physics behind them is checked against published values in KitMesh.Tests.Models.</summary>
public sealed class CalcVerbTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-calc-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public async Task Csv_GoodAndBadRows_RepeatsInputsNamesErrorsAndExitsOne()
    {
        (ExitCode code, string output, string talk) = await RunAsync(
            "parallel", "V1,R1_ohm,V2,R2_ohm,Rlead_ohm,note\n16.8,0.06,14.4,0.06,0.01,\"a, b\"\n13.4,0,12.9,0.008,0.004,\nx,1,2\n");

        string[] lines = output.TrimEnd().Split('\n');
        Assert.Equal(ExitCode.BadNews, code);
        Assert.Equal("V1,R1_ohm,V2,R2_ohm,Rlead_ohm,note,current_A,bus_V,heat_W,verdict,error", lines[0]);
        Assert.Equal("16.8,0.06,14.4,0.06,0.01,\"a, b\",18.4615384615,15.6,44.3076923077,do_not_join,", lines[1]);
        Assert.EndsWith(",R1_ohm must be above zero", lines[2], StringComparison.Ordinal);
        Assert.Equal(4, lines.Length);
        Assert.Contains("2 rows", talk, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Parallel_FourPacks_AreOneNetworkAndNameTheOddOne()
    {
        (ExitCode code, string output, _) = await RunAsync(
            "parallel",
            "V1,R1_ohm,V2,R2_ohm,V3,R3_ohm,V4,R4_ohm,Rlead_ohm,maxcharge_A\n13.3,0.02,13.3,0.02,13.3,0.02,12.7,0.02,0,50\n13.3,0.02,13.3,0.02,,,13.3,0.02,0,50\n");

        // By hand: the node is the mean, 13.15 V; three packs give 7.5 A each and the odd one takes all 22.5 A (Millman 1940).
        string[] lines = output.TrimEnd().Split('\n');
        Assert.Equal(ExitCode.BadNews, code);
        Assert.EndsWith("maxcharge_A,current_A,bus_V,heat_W,verdict,odd_one_out,currents_A,error", lines[0], StringComparison.Ordinal);
        Assert.EndsWith(",7.5,13.15,13.5,do_not_join,4,7.5 7.5 7.5 -22.5,", lines[1], StringComparison.Ordinal);
        Assert.Contains("number the packs without gaps", lines[2], StringComparison.Ordinal);
    }

    [Fact]
    public async Task Packs_OfAYamlFile_AreOneNetworkAndNameTheOddOne()
    {
        (ExitCode code, string output) = await PacksAsync(
            "packs:\n- {name: a, volts: 13.3, ohm: 0.02, maxcharge_a: 50}\n- {name: b, volts: 13.3, ohm: 0.02, maxcharge_a: 50}\n"
            + "- {name: c, volts: 13.3, ohm: 0.02, maxcharge_a: 50}\n- {name: cold one, volts: 12.7, ohm: 0.02, maxcharge_a: 50}\n");

        // The same four packs as in Parallel_FourPacks_AreOneNetworkAndNameTheOddOne (Millman 1940).
        var answer = (System.Text.Json.Nodes.JsonObject)System.Text.Json.Nodes.JsonNode.Parse(output)!;
        Assert.Equal(ExitCode.BadNews, code);
        Assert.Equal(13.15, (double)answer["bus_V"]!, 1e-9);
        Assert.Equal("cold one", (string)answer["odd_one_out"]!);
        Assert.Equal(-22.5, (double)answer["currents_A"]![3]!["current_A"]!, 1e-9);
        Assert.Contains("burn", (string)answer["words"]!, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("packs: [{volts: 13.3, ohm: 0.02}]", "2 to 64 packs are wanted, 1 are given")]
    [InlineData("packs:\n- {volts: 13.3, ohm: 0.02}\n- {volts: 13.3, ohm: 0}", "line 3: ohm must be above zero")]
    [InlineData("packs:\n- {volts: 13.3, ohm: 0.02}\n- {volts: a lot, ohm: 1}", "line 3: volts must be a number")]
    [InlineData("packs:\n- {volts: 13.3}\n- {volts: 13, ohm: 1}", "line 2: ohm is missing")]
    [InlineData("pack: 3", "line 1: unknown key \"pack\"")]
    [InlineData("[", "packs.yaml, line 2")]
    public async Task Packs_OfABadYamlFile_AreRefusedByLine(string yaml, string said) =>
        Assert.Contains(said, (await Assert.ThrowsAsync<CommandFault>(() => PacksAsync(yaml))).Message, StringComparison.Ordinal);

    [Fact]
    public async Task Csv_AllGood_ExitsZero()
    {
        (ExitCode code, string output, _) = await RunAsync("hold", "C_J_K,UA_W_K,P_W,Tamb_C,TL_C,TH_C\n12000,0.25,40,-40,4,8\n");

        Assert.Equal(ExitCode.Good, code);
        Assert.Equal(0.28739185, double.Parse(output.TrimEnd().Split('\n')[1].Split(',')[8], CultureInfo.InvariantCulture), 1e-7);
    }

    [Fact]
    public async Task Csv_MissingColumn_IsBadInput()
    {
        CommandFault fault = await Assert.ThrowsAsync<CommandFault>(() => RunAsync("hold", "C_J_K,UA_W_K\n1,2\n"));

        Assert.Equal(ExitCode.BadInput, fault.Code);
        Assert.Contains("P_W", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Csv_ColumnNamedTwice_IsBadInput()
    {
        CommandFault fault = await Assert.ThrowsAsync<CommandFault>(() => RunAsync("air", "Wh,Wh,kind\n1,2,spare\n"));

        Assert.Equal(ExitCode.BadInput, fault.Code);
        Assert.Contains("Wh", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Csv_OptionBesideTheTable_IsRefused()
    {
        string file = Path.Combine(_folder, "in.csv");
        await File.WriteAllTextAsync(file, "Wh,kind\n99,spare\n", TestContext.Current.CancellationToken);

        CommandFault fault = await Assert.ThrowsAsync<CommandFault>(() => CalcAsync("air", "--csv", file, "--count", "3"));

        Assert.Contains("--count", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Single_SeveralInputsMissing_NamesThemAll()
    {
        CommandFault fault = await Assert.ThrowsAsync<CommandFault>(() => CalcAsync("hold", "--C_J_K", "12000"));

        Assert.Equal(ExitCode.BadInput, fault.Code);
        Assert.Contains("UA_W_K", fault.Message, StringComparison.Ordinal);
        Assert.Contains("--P_W, --Tamb_C, --TL_C, --TH_C", fault.Mend, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("99.16", "power_bank", "2", "allowed")]
    [InlineData("99.16", "power_bank", "3", "not_allowed")]
    [InlineData("120", "power_bank", "1", "ask_operator")]
    [InlineData("99.99", "spare", "4", "allowed")]
    [InlineData("100", "spare", "4", "allowed")]
    [InlineData("130", "spare", "2", "ask_operator")]
    [InlineData("130", "spare", "3", "not_allowed")]
    [InlineData("160", "installed", "1", "ask_operator")]
    [InlineData("161", "installed", "1", "not_allowed")]
    [InlineData("320", "spare", "1", "not_allowed")]
    [InlineData("50", "installed", "16", "ask_operator")]
    public void Air_LimitsOfTheRules_GiveTheirVerdict(string wattHours, string kind, string count, string verdict)
    {
        // 100 and 160 Wh, two spares above 100 Wh: 49 CFR 175.10(a)(18) and a 2024 handbook after IATA; two power banks since 27 March 2026: UK CAA.
        CalcAnswer answer = Ask(new CalcAirCommand(), ("Wh", wattHours), ("kind", kind), ("count", count));

        Assert.Equal(verdict, answer.Cells[0]);
        Assert.Contains("operator", (string)answer.Cells[1]!, StringComparison.Ordinal);
        Assert.NotEqual("", answer.Cells[2]);
    }

    [Fact]
    public void Warm_UnreachableTemperature_SaysNever()
    {
        CalcAnswer answer = Ask(
            new CalcWarmCommand(), ("C_J_K", "12000"), ("UA_W_K", "0.25"), ("P_W", "10"), ("Tamb_C", "-40"), ("T0_C", "-25"), ("T1_C", "5"));

        Assert.Equal(false, answer.Cells[0]);
        Assert.Null(answer.Cells[3]);
        Assert.True(answer.BadNews);
    }

    [Theory]
    [InlineData("lfp", "-5")]
    [InlineData("nmc", "1")]
    [InlineData("unknown", "1.9")]
    [InlineData("nimh", "-10")]
    public void Charge_BelowTheLowerLimit_IsRefused(string chemistry, string celsius)
    {
        CalcAnswer answer = Ask(
            new CalcChargeCommand(), ("chemistry", chemistry), ("series", "4"), ("capacity_Ah", "60"), ("R25_ohm", ""), ("temp_C", celsius), ("soc_from", "0.3"), ("soc_to", "1"), ("current_A", "20"));

        Assert.Equal(false, answer.Cells[0]);
        Assert.Contains("no charge", (string)answer.Cells[6]!, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("4000")]
    [InlineData("5364")]
    [InlineData("8848")]
    public void Sky_HighCamps_NeverPassWhatArrivesOutsideTheAir(string metres)
    {
        foreach (string model in new[] { "bird", "ineichen", "haurwitz" })
        {
            CalcAnswer answer = Ask(
                new CalcSkyCommand(),
                ("utc", "2026-04-20T06:15:00Z"), ("lat_deg_north", "28"), ("lon_deg_east", "86.85"), ("elev_m", metres), ("pressure_hPa", ""), ("temp_C", "-10"),
                ("deltaT_s", "69.2"), ("model", model), ("linke_turbidity", "1"), ("aod380", "0"), ("aod500", "0"), ("water_cm", "0"), ("ozone_cm", "0"), ("albedo", "0.9"));

            Assert.True((double)answer.Cells[0]! <= (double)answer.Cells[3]! + 1e-9, $"{model} at {metres} m");
        }
    }

    [Theory]
    [InlineData("utc", "yesterday")]
    [InlineData("lat_deg_north", "91")]
    [InlineData("lon_deg_east", "NaN")]
    public void Sun_BadInput_IsAReasonNotACrash(string column, string text)
    {
        var cells = new Dictionary<string, string>
        {
            ["utc"] = "2026-04-20T06:15:00Z", ["lat_deg_north"] = "28", ["lon_deg_east"] = "86", ["elev_m"] = "0", ["pressure_hPa"] = "", ["temp_C"] = "0", ["deltaT_s"] = "69.2",
            [column] = text,
        };

        new CalcSunCommand().Answer(new CalcRow(name => cells[name]), out string error);

        Assert.Contains(column, error, StringComparison.Ordinal);
    }

    private static CalcAnswer Ask(CalcVerb verb, params (string Name, string Value)[] cells)
    {
        var map = cells.ToDictionary(cell => cell.Name, cell => cell.Value);
        CalcAnswer answer = verb.Answer(new CalcRow(map.GetValueOrDefault), out string error);
        Assert.Equal("", error);
        return answer;
    }

    private async Task<(ExitCode Code, string Output, string Talk)> RunAsync(string verb, string table)
    {
        string file = Path.Combine(_folder, "in.csv");
        await File.WriteAllTextAsync(file, table, TestContext.Current.CancellationToken);
        return await CalcAsync(verb, "--csv", file);
    }

    private async Task<(ExitCode Code, string Output)> PacksAsync(string yaml)
    {
        string file = Path.Combine(_folder, "packs.yaml");
        await File.WriteAllTextAsync(file, yaml, TestContext.Current.CancellationToken);
        (ExitCode code, string output, _) = await CalcAsync("parallel", "--packs", file, "--json");
        return (code, output);
    }

    private static async Task<(ExitCode Code, string Output, string Talk)> CalcAsync(params string[] arguments)
    {
        var output = new StringWriter { NewLine = "\n" };
        var talk = new StringWriter();
        var surroundings = new Surroundings(
            TimeProvider.System, new FakeClock(default), new NoClock(), () => 1, output, talk, false, false, false, new StopRequest());
        RootCommand root = CommandTree.Build(surroundings);
        int code = await root.Parse(["calc", .. arguments]).InvokeAsync(
            new InvocationConfiguration { EnableDefaultExceptionHandler = false }, TestContext.Current.CancellationToken);
        return ((ExitCode)code, output.ToString(), talk.ToString());
    }

    private sealed class NoClock : IDeviceClock
    {
        public ClockTrust Trust => ClockTrust.Unknown;

        public DeviceTime Read() => default;
    }
}
