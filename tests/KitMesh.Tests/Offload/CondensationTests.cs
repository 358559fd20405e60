using KitMesh.Domain.Quantities;
using KitMesh.Offload.Drives;

namespace KitMesh.Tests.Offload;

public sealed class CondensationTests
{
    // Dew points as psychrometric tables give them; values from memory, so within half a degree.
    [Theory]
    [InlineData(20, 50, 9.3)]
    [InlineData(20, 100, 20)]
    [InlineData(25, 60, 16.7)]
    [InlineData(10, 80, 6.7)]
    public void DewPoint_OfCommonAir_IsThatOfTheTables(double air, double humidity, double dew) =>
        Assert.InRange(Condensation.DewPoint(new Celsius(air), humidity).Value, dew - 0.5, dew + 0.5);

    [Theory]
    [InlineData(-15, 12, true)]
    [InlineData(9, 12, true)]
    [InlineData(12, 12, false)]
    public void Forms_OnADriveFromTheCold_UntilItIsNearlyAsWarmAsTheTent(double drive, double air, bool forms) =>
        Assert.Equal(forms, Condensation.Forms(new Celsius(drive), new Celsius(air), Condensation.UnknownHumidityPercent));
}
