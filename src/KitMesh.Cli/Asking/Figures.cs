using System.Globalization;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Asking;

/// <summary>Shares, chances and amounts as tables show them.</summary>
internal static class Figures
{
    /// <summary>A share in percent.</summary>
    public static string Percent(double share) => share.ToString("0 %", CultureInfo.InvariantCulture);

    /// <summary>A chance in percent. Nothing is called impossible or certain that was only computed.</summary>
    public static string Chance(double chance) => chance switch
    {
        < 0.005 => "under 1 %",
        > 0.995 => "over 99 %",
        _ => Percent(chance),
    };

    /// <summary>A chance as its range; as one figure where both ends read the same.</summary>
    public static string Chance(Chance? chance) =>
        chance is null ? "not known"
        : Chance(chance.Low) == Chance(chance.High) ? Chance(chance.Best)
        : $"{Chance(chance.Low)} to {Chance(chance.High)}";

    /// <summary>Bytes in decimal units.</summary>
    public static string Bytes(long bytes) => new Domain.Quantities.ByteCount(bytes).ToString();

    /// <summary>Watt-hours without decimals.</summary>
    public static string WattHours(double wattHours) => wattHours.ToString("0 'Wh'", CultureInfo.InvariantCulture);

    /// <summary>A count with its noun.</summary>
    public static string Count(long count, string noun) => string.Create(CultureInfo.InvariantCulture, $"{count:#,0} {noun}{(count == 1 ? "" : "s")}");
}
