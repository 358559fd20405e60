using KitMesh.Offload.Drives;

namespace KitMesh.Tests.Offload;

public sealed class DriveAttachmentTests
{
    [Theory]
    [InlineData("a", 5, 10L, "a", 5, 11L, PowerWord.None, true)] // The drive counts: it alone decides.
    [InlineData("a", 5, 10L, "b", 9, 10L, PowerWord.WasUnpowered, false)] // It says that it was never off, whatever was said.
    [InlineData("a", 5, null, "a", 6, null, PowerWord.None, false)]
    [InlineData("a", 5, null, "a", 6, null, PowerWord.UnpluggingCutsPower, true)]
    [InlineData("a", 5, null, "b", 5, null, PowerWord.UnpluggingCutsPower, false)] // Started again: ports may stay powered.
    [InlineData("a", 5, null, "a", 5, null, PowerWord.UnpluggingCutsPower, false)]
    [InlineData("a", 5, null, "b", 5, null, PowerWord.WasUnpowered, true)]
    [InlineData("a", 5, null, "a", 5, null, PowerWord.WasUnpowered, false)] // Attached all the time.
    [InlineData("a", 5, 10L, "a", 6, null, PowerWord.WasUnpowered, true)] // Counted once, not the second time.
    public void PowerWasCut_OnlyOnEvidence(string boot, long number, long? cycles, string bootNow, long numberNow, long? cyclesNow, PowerWord word, bool cut) =>
        Assert.Equal(cut, DriveAttachment.PowerWasCut(new(boot, number, cycles), new(bootNow, numberNow, cyclesNow), word));

    [Fact]
    public void PowerWasCut_OfAnUnknownStretch_IsNever()
    {
        var known = new DriveAttachment("a", 1, 1);

        Assert.False(DriveAttachment.PowerWasCut(null, known, PowerWord.WasUnpowered));
        Assert.False(DriveAttachment.PowerWasCut(known, null, PowerWord.WasUnpowered));
    }

    // smartctl(8), JSON output: "power_cycle_count" stands at the top, for ATA and NVMe alike.
    [Theory]
    [InlineData("""{"smartctl":{"exit_status":0},"power_cycle_count":412}""", 412L)]
    [InlineData("""{"smartctl":{"exit_status":0},"power_cycle_count":0}""", null)]
    [InlineData("""{"smartctl":{"exit_status":2}}""", null)]
    [InlineData("no JSON", null)]
    [InlineData(null, null)]
    public void PowerCycles_OfAnAnswer_AreReadOrUnknown(string? json, long? cycles) => Assert.Equal(cycles, DriveHealthProbe.PowerCycles(json));
}
