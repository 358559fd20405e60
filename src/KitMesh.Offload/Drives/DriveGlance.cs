using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Drives;

/// <summary>A place where a drive may be, at one moment.</summary>
public static class DriveGlance
{
    /// <summary>The state of the drive at a place, with what it says of its health; this asks the drive.</summary>
    /// <param name="root">The folder.</param>
    /// <returns>The state; null when no drive with an identity is there.</returns>
    public static DriveState? WithHealth(string root)
    {
        if (At(root) is not { } state)
        {
            return null;
        }

        (DriveHealth health, Celsius? temperature) = DriveHealthProbe.Ask(root);
        return state with { Health = health, Temperature = temperature };
    }

    /// <summary>The state of the drive at a place, without taking hold of it.</summary>
    /// <param name="root">The folder.</param>
    /// <returns>The state; null when no drive with an identity is there.</returns>
    public static DriveState? At(string root)
    {
        try
        {
            if (DriveIdentity.Read(root) is not { } identity)
            {
                return null;
            }

            MediaVolume volume = GrantedRoom.Of(MediaFolder.Volume(root), root, identity.Room);
            return new(identity.Drive, new ByteCount(volume.Capacity), new ByteCount(volume.Free), DriveHealth.Unknown, null, identity.Identity) { MoveCost = MoveCost.Of(root) };
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }
}
