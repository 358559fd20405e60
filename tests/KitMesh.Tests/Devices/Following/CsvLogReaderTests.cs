using KitMesh.Domain.Reports;
using KitMesh.TestKit.Devices;
using NodaTime;

namespace KitMesh.Tests.Devices.Following;

public sealed class CsvLogReaderTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    private string Log => _folder.At("log.csv");

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Follow_HeaderThenRows_GivesReadingsWithTheLoggersTime()
    {
        File.WriteAllText(Log, "Date,Vbat (mV),Temp\n2027-02-10 06:00:00,13280,-4.5\n");
        await using ReaderBench bench = Start();

        var sample = await bench.Sink.NextSampleAsync<BatteryReading>();
        File.AppendAllText(Log, "2027-02-10 06:01:00,13290,\n");
        var next = await bench.Sink.NextSampleAsync<BatteryReading>();

        Assert.Equal(Instant.FromUtc(2027, 2, 10, 0, 30), sample.Taken);
        var first = (BatteryReading)sample.Body;
        Assert.Equal((13.28, -4.5), (first.Volts!.Value.Value, first.ColdestProbe!.Value.Value));
        Assert.Equal(13.29, ((BatteryReading)next.Body).Volts!.Value.Value);
        Assert.Empty(((BatteryReading)next.Body).Probes);
        Assert.True(bench.Sink.Flushes >= 2);
    }

    [Fact]
    public async Task Follow_RenamedWithAnUnreadTail_ReadsTheTailThenTheNewFile()
    {
        File.WriteAllText(Log, "Date,Vbat (mV),Temp\n2027-02-10 06:00:00,13280,1\n");
        await using ReaderBench bench = Start();
        await bench.Sink.NextAsync<BatteryReading>();

        using (var writer = new StreamWriter(new FileStream(Log, FileMode.Append, FileAccess.Write, FileShare.ReadWrite | FileShare.Delete)))
        {
            File.Move(Log, _folder.At("log.csv.1"));
            writer.Write("2027-02-10 06:01:00,13281,1\n");
        }

        // The new file's columns stand in another order.
        File.WriteAllText(Log, "Temp,Date,Vbat (mV)\n2,2027-02-10 06:02:00,13282\n");

        Assert.Equal(13.281, (await bench.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
        BatteryReading fresh = await bench.Sink.NextAsync<BatteryReading>();
        Assert.Equal((13.282, 2d), (fresh.Volts!.Value.Value, fresh.ColdestProbe!.Value.Value));
    }

    [Fact]
    public async Task Follow_Truncated_StartsOverAndLosesNothingNew()
    {
        File.WriteAllText(Log, "Date,Vbat (mV),Temp\n2027-02-10 06:00:00,13280,1\n2027-02-10 06:01:00,13280,1\n");
        await using ReaderBench bench = Start();
        await bench.Sink.NextAsync<BatteryReading>();
        await bench.Sink.NextAsync<BatteryReading>();

        File.WriteAllText(Log, "Date,Vbat (mV),Temp\n2027-02-11 06:00:00,13100,1\n");

        Assert.Equal(13.1, (await bench.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
    }

    [Fact]
    public async Task Follow_AfterARestart_GoesOnWhereItStopped()
    {
        File.WriteAllText(Log, "Date,Vbat (mV),Temp\n2027-02-10 06:00:00,13280,1\n");
        await using (ReaderBench first = Start())
        {
            await first.Sink.NextAsync<BatteryReading>();
            await WaitForAsync(() => File.Exists(_folder.At("state", "places.json")));
        }

        File.AppendAllText(Log, "2027-02-10 06:01:00,13281,1\n");
        await using ReaderBench second = Start();

        Assert.Equal(13.281, (await second.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
        Assert.Empty(second.Sink.TakeAll());
    }

    [Fact]
    public async Task Follow_ExchangedWhileAwayForALongerFile_StartsOver()
    {
        File.WriteAllText(Log, "Date,Vbat (mV),Temp\n2027-02-10 06:00:00,13280,1\n");
        await using (ReaderBench first = Start())
        {
            await first.Sink.NextAsync<BatteryReading>();
            await WaitForAsync(() => File.Exists(_folder.At("state", "places.json")));
        }

        File.WriteAllText(Log, "Date,Vbat (mV),Temp\n2027-02-12 06:00:00,12001,1\n2027-02-12 06:01:00,12002,1\n");
        await using ReaderBench second = Start();

        Assert.Equal(12.001, (await second.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
        Assert.Equal(12.002, (await second.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
    }

    [Fact]
    public async Task Follow_HalfALine_WaitsForItsEnd()
    {
        File.WriteAllText(Log, "Date,Vbat (mV),Temp\n2027-02-10 06:00:00,132");
        await using ReaderBench bench = Start();

        File.AppendAllText(Log, "80,1\n");

        Assert.Equal(13.28, (await bench.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
        Assert.Empty(bench.Sink.TakeAll());
    }

    [Theory]
    [InlineData("2027-02-10 06:00:00,abc,1", "is no number")]
    [InlineData("2027-02-10 06:00:00,NaN,1", "is no number")]
    [InlineData("tomorrow,13280,1", "is no time")]
    [InlineData("2027-02-10 06:00:00", "too few")]
    public async Task Follow_WrongRow_IsKeptAsAFaultAndTheNextRowRead(string row, string words)
    {
        File.WriteAllText(Log, $"Date,Vbat (mV),Temp\n{row}\n2027-02-10 06:01:00,13281,1\n");
        await using ReaderBench bench = Start();

        ReaderFault fault = await bench.Sink.NextAsync<ReaderFault>();
        Assert.Contains(words, fault.Message, StringComparison.Ordinal);
        Assert.Equal(row, System.Text.Encoding.UTF8.GetString(fault.Raw.AsSpan()));
        Assert.Equal(13.281, (await bench.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
    }

    [Fact]
    public async Task Follow_LineWithoutEnd_IsSkippedWithinItsBound()
    {
        File.WriteAllText(Log, "Date,Vbat (mV),Temp\n" + new string('x', 200_000) + "\n2027-02-10 06:01:00,13281,1\n");
        await using ReaderBench bench = Start();

        Assert.Equal(13.281, (await bench.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
    }

    [Fact]
    public async Task Follow_DecimalCommaSemicolonAndQuotes_AreRead()
    {
        File.WriteAllText(Log, "\uFEFF\"Date\";\"Vbat (mV)\";Temp\n\"2027-02-10 06:00:00\";\"13280,5\";-4,5\n");
        await using ReaderBench bench = Start("separator: semicolon\ndecimalComma: true");

        BatteryReading reading = await bench.Sink.NextAsync<BatteryReading>();

        Assert.Equal((13.2805, -4.5), (reading.Volts!.Value.Value, reading.ColdestProbe!.Value.Value));
    }

    private static async Task WaitForAsync(Func<bool> condition)
    {
        using var patience = new CancellationTokenSource(TimeSpan.FromSeconds(20));
        while (!condition())
        {
            patience.Token.ThrowIfCancellationRequested();
            await Task.Yield();
        }
    }

    private ReaderBench Start(string more = "") => ReaderBench.Start(
        "csv-log",
        $$"""
        file: {{Log}}
        interval: 200 ms
        battery: ridge bank
        timeColumn: Date
        timeOffset: "+05:30"
        columns:
          - {header: Vbat (mV), meaning: battery volts, unit: mV}
          - {header: Temp, meaning: battery probe, unit: °C}
        {{more}}
        """,
        TimeProvider.System,
        _folder.At("state"));
}
