using KitMesh.Domain.Reports;
using KitMesh.TestKit.Devices;
using NodaTime;

namespace KitMesh.Tests.Devices.Following;

public sealed class TypedReaderTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Drop_TwentySecondsOfTyping_BecomesTypedReports()
    {
        await using ReaderBench bench = Start();

        File.WriteAllText(
            _folder.At("drop", "phone.jsonl"),
            """
            {"report":"battery","subject":"main bank","volts":13.05,"rested":true,"probes":[-3],"taken":"2027-02-10T18:40:00+05:30"}
            {"report":"panel","subject":"camp panel","sunHours":5.5}
            {"report":"temperature","subject":"base camp","sensor":"glass","temperature":-21}
            {"report":"load","subject":"radio","activity":"charging","charge":40}
            {"report":"note","author":"Mika","subject":"main bank","text":"lid was open"}
            {"report":"formatted","subject":"card 7"}
            {"report":"placed","subject":"drive B","into":"case 2","author":"Mika"}

            """);

        var battery = await bench.Sink.NextSampleAsync<BatteryReading>();
        var reading = (BatteryReading)battery.Body;
        Assert.Equal((13.05, true, -3d, ReadingSource.Typed), (reading.Volts!.Value.Value, reading.Rested, reading.ColdestProbe!.Value.Value, reading.Source));
        Assert.Equal(Instant.FromUtc(2027, 2, 10, 13, 10), battery.Taken);
        Assert.Equal(5.5, (await bench.Sink.NextAsync<PanelReading>()).SunHours);
        Assert.Equal(-21, (await bench.Sink.NextAsync<TemperatureReading>()).Temperature.Value);
        Assert.Equal((ChargeActivity.Charging, 0.4), ((await bench.Sink.NextAsync<LoadReading>()) is var load ? (load.Activity, load.Charge!.Value.Value) : default));
        Assert.Equal("lid was open", (await bench.Sink.NextAsync<Note>()).Text);
        Assert.False((await bench.Sink.NextAsync<CardFormatted>()).Inferred);
        Assert.Equal("case 2", (await bench.Sink.NextAsync<KitPlaced>()).Into!.Value.Value);
    }

    [Theory]
    [InlineData("13.2 volts", "no JSON")]
    [InlineData("[1,2]", "no JSON object")]
    [InlineData("{\"report\":\"battery\",\"volts\":13}", "\"subject\" is missing")]
    [InlineData("{\"report\":\"battery\",\"subject\":\"main bank\",\"volts\":\"13\"}", "\"volts\" is no number")]
    [InlineData("{\"report\":\"battery\",\"subject\":\"main bank\",\"volt\":13}", "\"volt\" is not known here")]
    [InlineData("{\"report\":\"battery\",\"subject\":\" main bank\"}", "is no kit name")]
    [InlineData("{\"report\":\"weather\",\"subject\":\"main bank\"}", "is no kind of report")]
    [InlineData("{\"report\":\"battery\",\"subject\":\"main bank\",\"probes\":[1,\"x\"]}", "\"probes\" is no list")]
    [InlineData("{\"report\":\"panel\",\"subject\":\"camp panel\",\"sunHours\":5,\"taken\":\"yesterday\"}", "is no time")]
    [InlineData("{\"report\":\"battery\",\"subject\":\"main bank\",\"volts\":1e999}", "\"volts\" is no number")]
    public async Task Drop_WrongLine_IsKeptAsAFaultWithWhatIsWrong(string line, string words)
    {
        await using ReaderBench bench = Start();
        File.WriteAllText(_folder.At("drop", "phone.jsonl"), line + "\n{\"report\":\"panel\",\"subject\":\"camp panel\",\"sunHours\":1}\n");

        ReaderFault fault = await bench.Sink.NextAsync<ReaderFault>();

        Assert.Contains(words, fault.Message, StringComparison.Ordinal);
        Assert.Equal(line, System.Text.Encoding.UTF8.GetString(fault.Raw.AsSpan()));
        Assert.Equal(1, (await bench.Sink.NextAsync<PanelReading>()).SunHours);
    }

    private ReaderBench Start()
    {
        Directory.CreateDirectory(_folder.At("drop"));
        return ReaderBench.Start("typed", $"folder: {_folder.At("drop")}\ninterval: 200 ms", TimeProvider.System, _folder.At("state"));
    }
}
