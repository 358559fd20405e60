using System.Globalization;
using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;

namespace KitMesh.Offload.Engine;

/// <summary>What a refusal of a medium means for a copy.</summary>
internal static class FaultWords
{
    /// <summary>What went wrong on a drive.</summary>
    /// <param name="drive">The drive.</param>
    /// <param name="fault">What it said.</param>
    /// <param name="whileReading">True when reading back.</param>
    public static CopyFailure OnDrive(OpenDrive drive, MediaFault fault, bool whileReading)
    {
        if (fault.Errno is ErrorNumber.NoSpace or ErrorNumber.Quota)
        {
            return CopyFailure.DriveFull;
        }

        bool deviceSaysGone = fault.Errno is ErrorNumber.NoDevice or ErrorNumber.NoDeviceAddress or ErrorNumber.NoMedium or ErrorNumber.Stale;
        if (deviceSaysGone || !drive.IsThere())
        {
            return CopyFailure.DriveGone;
        }

        return whileReading ? CopyFailure.ReadBackFailed : CopyFailure.WriteFailed;
    }

    /// <summary>Whether nothing more can be expected of the drive in this run.</summary>
    /// <param name="failure">What went wrong.</param>
    /// <param name="fault">What it said.</param>
    public static bool EndsDrive(CopyFailure failure, MediaFault fault) =>
        failure == CopyFailure.DriveGone || fault.Errno is ErrorNumber.ReadOnly or ErrorNumber.NeedsRepair;

    /// <summary>That something did not answer, as the end of a sentence.</summary>
    /// <param name="patience">How long it was waited for.</param>
    public static string Silence(TimeSpan patience) => string.Create(CultureInfo.InvariantCulture, $"has not answered for {patience.TotalSeconds:0} s");

    /// <summary>The fault in words, with a hint where one helps.</summary>
    /// <param name="fault">What the medium said.</param>
    public static string Say(MediaFault fault) => fault.Errno switch
    {
        ErrorNumber.FileTooLarge => $"{fault.Message}: this drive's file system takes no file of 4 GiB or more; format it as exFAT or ext4",
        ErrorNumber.NeedsRepair => $"{fault.Message}: the drive's file system is damaged; check it before using it again",
        ErrorNumber.ReadOnly => $"{fault.Message}: the drive went read-only, as file systems do after an error",
        _ => fault.Message,
    };
}
