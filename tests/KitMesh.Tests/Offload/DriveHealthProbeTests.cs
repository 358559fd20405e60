using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;

namespace KitMesh.Tests.Offload;

// Source of the field names and of the exit bits: smartmontools, smartctl(8) and its JSON output. Values are invented.
public sealed class DriveHealthProbeTests
{
    [Theory]
    [InlineData("""{"smartctl":{"exit_status":0},"smart_status":{"passed":true}}""", DriveHealth.Passed)]
    [InlineData("""{"smartctl":{"exit_status":64},"smart_status":{"passed":true}}""", DriveHealth.Passed)]
    [InlineData("""{"smartctl":{"exit_status":8},"smart_status":{"passed":false}}""", DriveHealth.Failing)]
    [InlineData("""{"smartctl":{"exit_status":8}}""", DriveHealth.Failing)]
    [InlineData("""{"smartctl":{"exit_status":16},"smart_status":{"passed":true}}""", DriveHealth.Warning)]
    [InlineData("""{"smartctl":{"exit_status":0},"smart_status":{"passed":true},"nvme_smart_health_information_log":{"critical_warning":4}}""", DriveHealth.Warning)]
    [InlineData("""{"smartctl":{"exit_status":0},"smart_status":{"passed":true},"nvme_smart_health_information_log":{"percentage_used":130}}""", DriveHealth.Warning)]
    [InlineData("""{"smartctl":{"exit_status":0},"smart_status":{"passed":true},"ata_smart_attributes":{"table":[{"id":197,"raw":{"value":8}}]}}""", DriveHealth.Warning)]
    [InlineData("""{"smartctl":{"exit_status":0},"smart_status":{"passed":true},"ata_smart_attributes":{"table":[{"id":197,"raw":{"value":0}},{"id":9,"raw":{"value":8}}]}}""", DriveHealth.Passed)]
    [InlineData("""{"smartctl":{"exit_status":2,"messages":[{"string":"Unknown USB bridge"}]}}""", DriveHealth.Unknown)]
    [InlineData("""{"smartctl":{"exit_status":4},"smart_status":{"passed":true}}""", DriveHealth.Unknown)]
    [InlineData("""{"smartctl":{"exit_status":0}}""", DriveHealth.Unknown)]
    [InlineData("""{"smart_status":"yes"}""", DriveHealth.Unknown)]
    [InlineData("[1]", DriveHealth.Unknown)]
    [InlineData("", DriveHealth.Unknown)]
    public void Read_OnlyAClearAnswer_IsBelieved(string json, DriveHealth health) => Assert.Equal(health, DriveHealthProbe.Read(json).Health);

    [Theory]
    [InlineData("""{"temperature":{"current":-7}}""", -7.0)]
    [InlineData("""{"temperature":{"current":0}}""", null)]
    [InlineData("""{"temperature":{"current":255}}""", null)]
    [InlineData("{}", null)]
    public void Read_Temperature_IsTakenWhereItCanBeTrue(string json, double? degrees) => Assert.Equal(degrees, DriveHealthProbe.Read(json).Temperature?.Value);

    [Fact]
    public void Ask_FolderWithoutADiskOfItsOwn_IsUnknown() => Assert.Equal(DriveHealth.Unknown, DriveHealthProbe.Ask("/proc").Health);
}
