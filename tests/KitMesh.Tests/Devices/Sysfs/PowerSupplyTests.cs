using KitMesh.Devices.PowerController;
using KitMesh.Devices.PowerSupply;
using KitMesh.Domain.Reports;
using KitMesh.TestKit.Devices;
using Microsoft.Extensions.Time.Testing;

namespace KitMesh.Tests.Devices.Sysfs;

/// <summary>Units, signs and absent files after the Linux ABI document sysfs-class-power.</summary>
public sealed class PowerSupplyTests
{
    [Theory]
    [InlineData("Discharging", "-1500000", -1.5)]
    [InlineData("Discharging", "1500000", -1.5)]
    [InlineData("Charging", "-1500000", 1.5)]
    [InlineData("Charging", "1500000", 1.5)]
    [InlineData("Full", "0", 0.0)]
    public void Read_EitherSignOfDriver_StatusGivesTheDirection(string status, string microamperes, double amperes)
    {
        using var folder = new TemporaryFolder();
        folder.Write("status", status + "\n");
        folder.Write("current_now", microamperes + "\n");

        Assert.Equal(amperes, PowerSupplySnapshot.Read(folder.Path, CurrentSign.ByState).Amperes);
    }

    [Theory]
    [InlineData(CurrentSign.ByState, null)]
    [InlineData(CurrentSign.ChargePositive, -1.5)]
    [InlineData(CurrentSign.DischargePositive, 1.5)]
    public void Read_StatusUnknown_SignOnlyWhenTheUserGaveIt(CurrentSign sign, double? amperes)
    {
        using var folder = new TemporaryFolder();
        folder.Write("status", "Unknown\n");
        folder.Write("current_now", "-1500000\n");

        Assert.Equal(amperes, PowerSupplySnapshot.Read(folder.Path, sign).Amperes);
    }

    [Fact]
    public void Read_EveryUnit_IsConverted()
    {
        using var folder = new TemporaryFolder();
        folder.Write("status", "Discharging\n");
        folder.Write("voltage_now", "12345678\n");
        folder.Write("power_now", "18000000\n");
        folder.Write("temp", "-53\n");
        folder.Write("capacity", "81\n");

        PowerSupplySnapshot now = PowerSupplySnapshot.Read(folder.Path, CurrentSign.ByState);

        Assert.Equal(12.345678, now.Volts!.Value, 9);
        Assert.Equal(-18, now.Watts);
        Assert.Equal(-5.3, now.Temperature);
        Assert.Equal(0.81, now.Charge);
        Assert.Empty(now.Complaints);
    }

    [Fact]
    public void Read_ChargeCounters_GoBeforeThePercentage()
    {
        using var folder = new TemporaryFolder();
        folder.Write("charge_now", "1234000\n");
        folder.Write("charge_full", "2000000\n");
        folder.Write("capacity", "60\n");

        Assert.Equal(0.617, PowerSupplySnapshot.Read(folder.Path, CurrentSign.ByState).Charge!.Value, 12);
    }

    [Fact]
    public void Read_GaugeThatKnowsNothing_GivesNoCharge()
    {
        using var folder = new TemporaryFolder();
        folder.Write("capacity", "50\n");
        folder.Write("capacity_error_margin", "100\n");

        Assert.Null(PowerSupplySnapshot.Read(folder.Path, CurrentSign.ByState).Charge);
    }

    [Fact]
    public void Read_EmptyFolder_GivesNothingAndNoComplaint()
    {
        using var folder = new TemporaryFolder();

        PowerSupplySnapshot now = PowerSupplySnapshot.Read(folder.Path, CurrentSign.ByState);

        Assert.Equal((null, null, null, null, null, ChargeActivity.Unknown), (now.Volts, now.Amperes, now.Watts, now.Charge, now.Temperature, now.Activity));
        Assert.Empty(now.Complaints);
    }

    [Fact]
    public async Task Poll_GarbageInAFile_IsAFaultAndTheRestIsRead()
    {
        using var folder = new TemporaryFolder();
        folder.Write("BAT0/status", "Not charging\n");
        folder.Write("BAT0/voltage_now", "12v\n");
        folder.Write("BAT0/capacity", "77\n");
        await using ReaderBench bench = ReaderBench.Start("power-supply", $"root: {folder.Path}\nsupply: BAT0\nload: station board", new FakeTimeProvider(), folder.At("state"));

        Assert.Contains("12v", (await bench.Sink.NextAsync<ReaderFault>()).Message, StringComparison.Ordinal);
        LoadReading load = await bench.Sink.NextAsync<LoadReading>();
        Assert.Equal((ChargeActivity.PluggedNotCharging, 0.77), (load.Activity, load.Charge!.Value.Value));
    }

    [Fact]
    public async Task Poll_SupplyMissingThenThere_IsFaultThenReading()
    {
        using var folder = new TemporaryFolder();
        var pace = new FakeTimeProvider();
        await using ReaderBench bench = ReaderBench.Start("power-supply", $"root: {folder.Path}\nsupply: BAT0\nbattery: ridge bank", pace, folder.At("state"));

        Assert.False((await bench.Sink.NextAsync<ReaderFault>()).Cleared);
        folder.Write("BAT0/voltage_now", "13200000\n");
        pace.Advance(TimeSpan.FromMinutes(1));
        Assert.True((await bench.Sink.NextAsync<ReaderFault>()).Cleared);
        Assert.Equal(13.2, (await bench.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
    }
}
