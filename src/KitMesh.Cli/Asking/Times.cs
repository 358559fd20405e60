using System.Globalization;
using Google.Protobuf.WellKnownTypes;

namespace KitMesh.Cli.Asking;

/// <summary>Times and shares as tables show them.</summary>
internal static class Times
{
    /// <summary>A moment in UTC, to the minute.</summary>
    public static string Show(Timestamp? time) => time is null ? "" : time.ToDateTime().ToString("MM-dd HH:mm'Z'", CultureInfo.InvariantCulture);

    /// <summary>A chance or share in percent. Nothing is called impossible or certain that was only computed.</summary>
    public static string Percent(double share) => share switch
    {
        <= 0 => "0 %",
        < 0.005 => "under 1 %",
        > 0.995 and < 1 => "over 99 %",
        _ => share.ToString("0 %", CultureInfo.InvariantCulture),
    };

    /// <summary>Bytes in decimal units.</summary>
    public static string Bytes(long bytes) => new Domain.Quantities.ByteCount(bytes).ToString();

    /// <summary>Watt-hours without decimals.</summary>
    public static string WattHours(double wattHours) => wattHours.ToString("0 'Wh'", CultureInfo.InvariantCulture);
}
