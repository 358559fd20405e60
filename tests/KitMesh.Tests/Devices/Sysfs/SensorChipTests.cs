using KitMesh.Domain.Reports;
using KitMesh.TestKit.Devices;
using Microsoft.Extensions.Time.Testing;

namespace KitMesh.Tests.Devices.Sysfs;

/// <summary>Units after the Linux documents hwmon/sysfs-interface and ABI sysfs-bus-iio: power is in µW in one, in mW in the other.</summary>
public sealed class SensorChipTests
{
    [Fact]
    public async Task Hwmon_FoundByNameNotNumber_ConvertsEachPrefix()
    {
        using var folder = new TemporaryFolder();
        folder.Write("hwmon0/name", "other\n");
        folder.Write("hwmon7/name", "shunt\n");
        folder.Write("hwmon7/in1_input", "13250\n");
        folder.Write("hwmon7/curr1_input", "-2500\n");
        folder.Write("hwmon7/power1_input", "33125000\n");
        folder.Write("hwmon7/temp1_input", "-4250\n");
        await using ReaderBench bench = ReaderBench.Start("hwmon", Yaml(folder), new FakeTimeProvider(), folder.At("state"));

        BatteryReading reading = await bench.Sink.NextAsync<BatteryReading>();

        Assert.Equal((13.25, -2.5, 33.125, -4.25), (reading.Volts!.Value.Value, reading.Amperes!.Value.Value, reading.Watts!.Value.Value, reading.ColdestProbe!.Value.Value));
    }

    [Fact]
    public async Task Hwmon_SensorFaultFlag_IsNotTrusted()
    {
        using var folder = new TemporaryFolder();
        folder.Write("hwmon7/name", "shunt\n");
        folder.Write("hwmon7/in1_input", "13250\n");
        folder.Write("hwmon7/temp1_input", "25000\n");
        folder.Write("hwmon7/temp1_fault", "1\n");
        await using ReaderBench bench = ReaderBench.Start("hwmon", Yaml(folder), new FakeTimeProvider(), folder.At("state"));

        await bench.Sink.NextAsync<ReaderFault>(f => f.Message.Contains("temp1 reports a fault", StringComparison.Ordinal));
        BatteryReading reading = await bench.Sink.NextAsync<BatteryReading>();
        Assert.Empty(reading.Probes);
        Assert.Null(reading.Amperes);
    }

    [Fact]
    public async Task Hwmon_ChipMissing_IsAFault()
    {
        using var folder = new TemporaryFolder();
        await using ReaderBench bench = ReaderBench.Start("hwmon", Yaml(folder), new FakeTimeProvider(), folder.At("state"));

        Assert.Contains("shunt", (await bench.Sink.NextAsync<ReaderFault>()).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Iio_RawOffsetScale_GivesMilliUnits()
    {
        using var folder = new TemporaryFolder();
        folder.Write("iio:device2/name", "adc\n");
        folder.Write("iio:device2/in_voltage0_raw", "1000\n");
        folder.Write("iio:device2/in_voltage_scale", "13.0\n");
        folder.Write("iio:device2/in_temp0_raw", "350\n");
        folder.Write("iio:device2/in_temp0_offset", "-400\n");
        folder.Write("iio:device2/in_temp0_scale", "62.5\n");
        folder.Write("iio:device2/in_power0_input", "33125\n");
        await using ReaderBench bench = ReaderBench.Start(
            "iio",
            $$"""
            root: {{folder.Path}}
            device: adc
            battery: ridge bank
            channels:
              - {channel: voltage0, meaning: battery volts}
              - {channel: temp0, meaning: battery probe}
              - {channel: power0, meaning: battery watts}
            """,
            new FakeTimeProvider(),
            folder.At("state"));

        BatteryReading reading = await bench.Sink.NextAsync<BatteryReading>();

        Assert.Equal((13d, -3.125, 33.125), (reading.Volts!.Value.Value, reading.ColdestProbe!.Value.Value, reading.Watts!.Value.Value));
    }

    [Fact]
    public async Task Iio_RawWithoutScale_IsAFaultNotAGuess()
    {
        using var folder = new TemporaryFolder();
        folder.Write("iio:device2/name", "adc\n");
        folder.Write("iio:device2/in_voltage0_raw", "1000\n");
        await using ReaderBench bench = ReaderBench.Start(
            "iio", $"root: {folder.Path}\ndevice: adc\nbattery: ridge bank\nchannels: [{{channel: voltage0, meaning: battery volts}}]", new FakeTimeProvider(), folder.At("state"));

        Assert.Contains("no scale", (await bench.Sink.NextAsync<ReaderFault>()).Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("{input: power1, meaning: battery volts}", "does not give")]
    [InlineData("{input: temp, meaning: battery probe}", "does not give")]
    [InlineData("{input: in0, meaning: bank voltage}", "does not fit")]
    public void Hwmon_WrongInput_IsAProblemWithItsMend(string input, string words)
    {
        ReaderBench.Configure("hwmon", $"chip: shunt\nbattery: ridge bank\ninputs: [{input}]", out var problems);

        Assert.Contains(words, Assert.Single(problems).ToString(), StringComparison.Ordinal);
    }

    private static string Yaml(TemporaryFolder folder) =>
        $$"""
        root: {{folder.Path}}
        chip: shunt
        battery: ridge bank
        inputs:
          - {input: in1, meaning: battery volts}
          - {input: curr1, meaning: battery amperes}
          - {input: power1, meaning: battery watts}
          - {input: temp1, meaning: battery probe}
        """;
}
