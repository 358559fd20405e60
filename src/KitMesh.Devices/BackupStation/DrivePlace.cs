using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.BackupStation;

/// <summary>A folder where one known drive appears.</summary>
/// <param name="Drive">The drive.</param>
/// <param name="Folder">Where it is mounted, or any folder that stands for a drive.</param>
/// <param name="Prepare">
/// Whether a folder without an identity file is made a drive. Off for mounts: the folder of a drive that is not plugged in
/// lies on the station's own disk.
/// </param>
/// <param name="MaxAltitude">Highest place where it may run; null for no limit.</param>
/// <param name="MinTemperature">Least temperature at which it may run; null for no limit.</param>
/// <param name="UnplugCutsPower">Whether the drive has no other power than its plug; then copies read again after it was unplugged are proven power-cycled.</param>
internal sealed record DrivePlace(KitId Drive, string Folder, bool Prepare, Metres? MaxAltitude, Celsius? MinTemperature, bool UnplugCutsPower);
