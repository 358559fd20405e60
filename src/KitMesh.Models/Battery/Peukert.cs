using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Battery;

/// <summary>Run time of a lead-acid battery at a constant current.</summary>
public static class Peukert
{
    /// <summary>Run time as Peukert's law states it: t = H (C / (I H))^k.</summary>
    /// <param name="capacity">Rated charge.</param>
    /// <param name="ratedTime">Time of the rating, usually 20 h.</param>
    /// <param name="current">Constant current.</param>
    /// <param name="exponent">k: AGM 1.05 to 1.15, gel 1.1 to 1.25, flooded 1.2 to 1.6 (dealers' pages).</param>
    /// <remarks>For constant current and temperature only. Check: rows peukert.</remarks>
    public static Duration Time(AmpereHours capacity, Duration ratedTime, Amperes current, double exponent) =>
        Duration.FromHours(ratedTime.TotalHours * Math.Pow(capacity.Value / (current.Value * ratedTime.TotalHours), exponent));

    /// <summary>Charge delivered, never more than rated: below the rated current the bare law would promise more than is there.</summary>
    /// <param name="capacity">Rated charge.</param>
    /// <param name="ratedTime">Time of the rating.</param>
    /// <param name="current">Constant current.</param>
    /// <param name="exponent">k.</param>
    public static AmpereHours Delivered(AmpereHours capacity, Duration ratedTime, Amperes current, double exponent) =>
        new(Math.Min(capacity.Value, current.Value * Time(capacity, ratedTime, current, exponent).TotalHours));
}
