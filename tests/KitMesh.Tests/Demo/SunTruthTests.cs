using KitMesh.Demo.Weather;
using NodaTime;

namespace KitMesh.Tests.Demo;

/// <summary>The demo's plain sun against published positions.</summary>
public sealed class SunTruthTests
{
    /// <summary>
    /// NREL, I. Reda and A. Andreas, "Solar Position Algorithm for Solar Radiation Applications", NREL/TP-560-34302, appendix A.5:
    /// 2003-10-17 12:30:30 at UTC-7, 39.742476 N, 105.1786 W: zenith 50.11162 deg, azimuth 194.34024 deg.
    /// </summary>
    [Fact]
    public void At_NrelExample_IsWithinATenthOfADegree()
    {
        SunPlace sun = SunTruth.At(Instant.FromUtc(2003, 10, 17, 19, 30, 30), 39.742476, -105.1786);

        Assert.Equal(90 - 50.11162, sun.HeightDegrees, 0.15);
        Assert.Equal(194.34024, sun.HeadingDegrees, 0.2);
    }
}
