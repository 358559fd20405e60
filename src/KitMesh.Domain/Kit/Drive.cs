using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>A drive that copies go to.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Case">The case it rides in on the first day.</param>
/// <param name="Capacity">Its size.</param>
/// <param name="Medium">What it stores on.</param>
/// <param name="MinTemperature">Least operating temperature, from the maker's sheet.</param>
/// <param name="MaxAltitude">Highest operating altitude, from the maker's sheet.</param>
/// <param name="AnnualFailureRate">Chance that it fails within a year, from 0 to below 1.</param>
/// <param name="Batch">Drives of one batch may fail together; null when bought apart.</param>
/// <param name="Intermediate">True for a drive that is cleared again and again, such as a station's own disk: what is on it counts for no copy rule.</param>
public sealed record Drive(
    KitId Id,
    KitId? Case,
    ByteCount Capacity,
    DriveMedium Medium,
    Celsius? MinTemperature,
    Metres? MaxAltitude,
    double AnnualFailureRate,
    KitId? Batch,
    bool Intermediate = false) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Drive;
}
