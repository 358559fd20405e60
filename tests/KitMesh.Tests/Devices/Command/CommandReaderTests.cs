using KitMesh.Domain.Reports;
using KitMesh.TestKit.Devices;
using Microsoft.Extensions.Time.Testing;

namespace KitMesh.Tests.Devices.Command;

public sealed class CommandReaderTests
{
    private const string Line = "{\\\"report\\\":\\\"temperature\\\",\\\"subject\\\":\\\"base camp\\\",\\\"temperature\\\":-18.5}";

    [Fact]
    public async Task Every_ProgramThatPrintsAReading_IsRunAtEachBeat()
    {
        SkipWithoutShell();
        using var folder = new TemporaryFolder();
        var pace = new FakeTimeProvider();
        await using ReaderBench bench = Start($"every: 1 min\nrun: [/bin/sh, -c, \"echo '{Line}'\"]", pace, folder);

        Assert.Equal(-18.5, (await bench.Sink.NextAsync<TemperatureReading>()).Temperature.Value);
        pace.Advance(TimeSpan.FromMinutes(1));
        TemperatureReading second = await bench.Sink.NextAsync<TemperatureReading>();

        Assert.Equal(ReadingSource.Measured, second.Source);
    }

    [Fact]
    public async Task Lines_GarbageBetweenReadings_IsKeptAsAFault()
    {
        SkipWithoutShell();
        using var folder = new TemporaryFolder();
        await using ReaderBench bench = Start($"every: 1 min\nrun: [/bin/sh, -c, \"echo hello; echo '{Line}'\"]", new FakeTimeProvider(), folder);

        Assert.Equal("hello", System.Text.Encoding.UTF8.GetString((await bench.Sink.NextAsync<ReaderFault>()).Raw.AsSpan()));
        await bench.Sink.NextAsync<TemperatureReading>();
    }

    [Fact]
    public async Task Lines_OneWithoutEnd_IsCutAndRefused()
    {
        SkipWithoutShell();
        using var folder = new TemporaryFolder();
        await using ReaderBench bench = Start($"every: 1 min\nrun: [/bin/sh, -c, \"head -c 3000000 /dev/zero | tr '\\\\0' x; echo; echo '{Line}'\"]", new FakeTimeProvider(), folder);

        ReaderFault fault = await bench.Sink.NextAsync<ReaderFault>();
        Assert.Contains("more than", fault.Message, StringComparison.Ordinal);
        Assert.Equal(ReaderFault.MaxRaw, fault.Raw.Count);
        await bench.Sink.NextAsync<TemperatureReading>();
    }

    [Fact]
    public async Task Exit_WithACode_IsAFaultWithWhatTheProgramSaid()
    {
        SkipWithoutShell();
        using var folder = new TemporaryFolder();
        await using ReaderBench bench = Start("every: 1 min\nrun: [/bin/sh, -c, \"echo no probe >&2; exit 3\"]", new FakeTimeProvider(), folder);

        ReaderFault fault = await bench.Sink.NextAsync<ReaderFault>();
        Assert.Contains("code 3", fault.Message, StringComparison.Ordinal);
        Assert.Contains("no probe", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Run_ProgramThatHangs_IsEndedAtItsTimeout()
    {
        SkipWithoutShell();
        using var folder = new TemporaryFolder();
        await using ReaderBench bench = Start("every: 1 min\ntimeout: 200 ms\nrun: [/bin/sh, -c, \"sleep 600\"]", new FakeTimeProvider(), folder);

        Assert.Contains("was ended", (await bench.Sink.NextAsync<ReaderFault>()).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Run_ProgramThatIsNotThere_IsAFault()
    {
        using var folder = new TemporaryFolder();
        await using ReaderBench bench = Start("every: 1 min\nrun: /nowhere/program", new FakeTimeProvider(), folder);

        Assert.Contains("cannot be started", (await bench.Sink.NextAsync<ReaderFault>()).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Run_ProgramThatKeepsRunning_IsReadAsItPrints()
    {
        SkipWithoutShell();
        using var folder = new TemporaryFolder();
        await using ReaderBench bench = Start($"run: [/bin/sh, -c, \"echo '{Line}'; read wait < {folder.At("never")}; sleep 600\"]", new FakeTimeProvider(), folder);

        Assert.Equal(-18.5, (await bench.Sink.NextAsync<TemperatureReading>()).Temperature.Value);
    }

    private static ReaderBench Start(string yaml, TimeProvider pace, TemporaryFolder folder) => ReaderBench.Start("command", yaml, pace, folder.At("state"));

    private static void SkipWithoutShell()
    {
        if (!File.Exists("/bin/sh"))
        {
            Assert.Skip("There is no /bin/sh on this system.");
        }
    }
}
