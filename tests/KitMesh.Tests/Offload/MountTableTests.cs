using KitMesh.Disk.Media;

namespace KitMesh.Tests.Offload;

/// <summary>Lines of /proc/self/mountinfo as proc(5) describes them.</summary>
public sealed class MountTableTests
{
    [Fact]
    public void Parse_LineWithOptionalFieldsAndEscapes_IsRead()
    {
        Mount mount = MountTable.Parse(@"36 35 98:0 /mnt1 /media/card\040a rw,noatime master:1 shared:2 - ext4 /dev/sdb1 ro,errors=continue")!;

        Assert.Equal(("/media/card a", "ext4", "/dev/sdb1", "98:0", true), (mount.Root, mount.Type, mount.Source, mount.DeviceNumber, mount.IsReadOnly));
    }

    [Theory]
    [InlineData("")]
    [InlineData("36 35 98:0 / /media rw - ")]
    [InlineData("garbage without a dash at all in it")]
    public void Parse_WhatIsNoLine_IsPassedOver(string line) => Assert.Null(MountTable.Parse(line));

    [Fact]
    public void Of_APath_IsTheDeepestMountThatHoldsIt()
    {
        Assert.Equal("/proc", MountTable.Of("/proc/self")?.Root);
        Assert.Equal("/", MountTable.Of("/procession")?.Root);
    }

    /// <summary>Other tests mount drives meanwhile, so that any one wait may see a change; hundreds in a row may not.</summary>
    [Fact]
    public void WaitForChange_WithoutAChange_EndsWithTheTime() =>
        Assert.Contains(Enumerable.Range(0, 500), _ => !MountTable.WaitForChange(TimeSpan.FromMilliseconds(20)));
}
