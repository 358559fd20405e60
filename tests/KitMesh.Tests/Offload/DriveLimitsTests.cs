using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;

namespace KitMesh.Tests.Offload;

public sealed class DriveLimitsTests
{
    private static readonly KitId Drive = KitId.Parse("red");

    [Theory]
    [InlineData(3900.0, 20.0, null, "3050 m")]
    [InlineData(2000.0, -4.0, null, "closed bag")]
    [InlineData(2000.0, 18.0, -10.0, "water settles")]
    public void WhyNotNow_PastALimit_SaysWhyAndWhatToDo(double altitude, double air, double? own, string words)
    {
        var around = new DriveSurroundings(new Metres(altitude), new Celsius(air));

        Assert.Contains(words, DriveLimits.Spinning.WhyNotNow(Drive, around, own is { } cold ? new Celsius(cold) : null), StringComparison.Ordinal);
    }

    [Fact]
    public void WhyNotNow_InsideAllLimitsOrUntold_IsNothing()
    {
        Assert.Null(DriveLimits.Spinning.WhyNotNow(Drive, new DriveSurroundings(new Metres(3050), new Celsius(5)), new Celsius(6)));
        Assert.Null(DriveLimits.Spinning.WhyNotNow(Drive, new DriveSurroundings(null, null), new Celsius(-20)));
        Assert.Null(new DriveLimits(null, null).WhyNotNow(Drive, new DriveSurroundings(new Metres(5000), new Celsius(-20)), null));
    }
}
