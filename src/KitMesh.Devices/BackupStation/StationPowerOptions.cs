using KitMesh.Devices.Options;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.BackupStation;

/// <summary>Whose power reports say what the station draws.</summary>
/// <param name="Load">The load, as another reader of this agent reports it.</param>
/// <param name="Idle">Draw while nothing is moved. 0 to 500 W; null: learnt from the readings in quiet times.</param>
internal sealed record StationPowerOptions(KitId Load, Watts? Idle)
{
    /// <summary>Reads the section; null when there is none.</summary>
    /// <param name="map">The reader's part of the agent file.</param>
    public static StationPowerOptions? Read(OptionMap map)
    {
        if (map.Child("power") is not { } power)
        {
            return null;
        }

        var options = new StationPowerOptions(
            power.Kit("load", "the load whose power reports are the station's draw, as another reader of this agent names it"),
            power.Has("idle") ? new Watts(power.Number("idle", "W", 0, 500, null)) : null);
        power.RefuseUnknownKeys();
        return options;
    }
}
