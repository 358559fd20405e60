using KitMesh.Disk.Media;
using KitMesh.Domain;
using KitMesh.Footage.Manifests;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Hashing;
using NodaTime;

namespace KitMesh.Offload.Engine;

/// <summary>Adds a generation to the ASC MHL history of each drive: the copies that a run proved there.</summary>
internal static class RunManifests
{
    private static readonly string Version = typeof(RunManifests).Assembly.GetName().Version?.ToString(3) ?? "0";

    /// <summary>Writes them. A manifest that cannot be written is a remark: the copies are good all the same.</summary>
    /// <param name="drives">The drives.</param>
    /// <param name="desk">Knows what was proven.</param>
    /// <param name="watch">Tells whether the drives answer.</param>
    /// <param name="started">Start of the run.</param>
    /// <param name="remarks">Takes what went wrong.</param>
    public static void Write(IReadOnlyList<OpenDrive> drives, OffloadDesk desk, DriveWatch watch, Instant started, List<string> remarks)
    {
        for (int i = 0; i < drives.Count; i++)
        {
            IReadOnlyList<CopyRecord> proven = desk.ProvenOn(i);
            if (proven.Count == 0 || desk.IsLost(i))
            {
                continue;
            }

            OpenDrive drive = drives[i];
            string? remark = null;
            if (!watch.TryCall(i, () => remark = Write(drive, proven, started)))
            {
                remark = $"{drive.Drive}: no manifest was added, because the drive does not answer";
            }

            if (remark is not null)
            {
                remarks.Add(remark);
            }
        }
    }

    private static string? Write(OpenDrive drive, IReadOnlyList<CopyRecord> proven, Instant started)
    {
        try
        {
            if (MhlFolder.Read(drive.Root, out string wrong) is not { } history)
            {
                return $"{drive.Drive}: no manifest was added, because the history there is not sound: {wrong}";
            }

            history.Append(drive.Top, Manifest(history, proven, started) with
            {
                Directories = DriveDirectories.Of(drive, proven.Select(copy => copy.Path)).ToValueList(),
            });
            return null;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return $"{drive.Drive}: the manifest could not be written: {fault.Message}";
        }
    }

    private static MhlManifest Manifest(MhlFolder history, IReadOnlyList<CopyRecord> proven, Instant started)
    {
        IReadOnlyDictionary<string, IReadOnlyDictionary<string, string>> known = MhlComparison.Basis(history.Generations);
        IEnumerable<string> ignored = history.Generations
            .SelectMany(generation => generation.Ignored)
            .Concat([.. MhlManifest.StandardIgnored, $"{DriveIdentity.Folder}/"])
            .Distinct(StringComparer.Ordinal);
        return new MhlManifest(
            started,
            Environment.MachineName,
            "KitMesh",
            Version,
            MhlProcess.Transfer,
            ignored.ToValueList(),
            proven.OrderBy(copy => copy.Path, StringComparer.Ordinal).Select(copy => Entry(copy, known)).ToValueList(),
            []);
    }

    private static MhlEntry Entry(CopyRecord copy, IReadOnlyDictionary<string, IReadOnlyDictionary<string, string>> known)
    {
        known.TryGetValue(copy.Path, out IReadOnlyDictionary<string, string>? before);
        IEnumerable<HashText> hashes = copy.Hashes.Append(new HashText(HashKind.Xxh128, copy.Clip.ToString()));
        return new MhlEntry(
            copy.Path,
            copy.Size,
            copy.Modified,
            hashes
                .Select(hash => (Format: HashNames.Of(hash.Kind), hash.Text))
                .Where(hash => MhlManifest.Formats.Contains(hash.Format))
                .Select(hash => new MhlHash(hash.Format, hash.Text, Action(before, hash.Format, hash.Text), copy.Verified))
                .ToValueList());
    }

    private static MhlAction Action(IReadOnlyDictionary<string, string>? before, string format, string value) =>
        before is null ? MhlAction.Original
        : !before.TryGetValue(format, out string? old) ? MhlAction.Verified
        : old == value ? MhlAction.Verified
        : MhlAction.Failed;
}
