using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Reports;

/// <summary>A drive as a station sees it.</summary>
/// <param name="Drive">The drive.</param>
/// <param name="Capacity">Size of its file system.</param>
/// <param name="Free">Bytes free for files.</param>
/// <param name="Health">What it says of its health.</param>
/// <param name="Temperature">Its own thermometer.</param>
/// <param name="Identity">The identity that the station wrote on it, which tells a swapped drive with the same label.</param>
public sealed record DriveState(
    KitId Drive,
    ByteCount Capacity,
    ByteCount Free,
    DriveHealth Health,
    Celsius? Temperature,
    string? Identity) : ReportBody
{
    /// <summary>What moving a gigabyte to or from it cost the station above its idle draw, measured; null when nobody measured.</summary>
    public JoulesPerGigabyte? MoveCost { get; init; }

    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.DriveState;
}
