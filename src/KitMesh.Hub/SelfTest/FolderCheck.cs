using System.Globalization;
using KitMesh.Disk;

namespace KitMesh.Hub.SelfTest;

/// <summary>Whether the data folder takes a write and gets it onto the medium.</summary>
internal static class FolderCheck
{
    private const string Check = "data folder";
    private const string ProbeName = "check.probe";

    /// <summary>Writes a small file, syncs it and its name, reads it back and deletes it.</summary>
    public static CheckLine Look(IDisk disk, string folder, TimeProvider machine)
    {
        if (disk.Find(folder).Fault is not null)
        {
            string? parent = folder;
            while (parent is not null && disk.Find(parent).Fault is not null)
            {
                parent = Path.GetDirectoryName(parent);
            }

            return parent is not null && Probe(disk, parent).Fault is { } refused
                ? CheckLine.Wrong(Check, $"{folder} is not there and cannot be made. {refused}", "Make it for the user that the hub runs as, or name another folder.")
                : CheckLine.Right(Check, $"{folder} is not there yet; the hub makes it at its first start.");
        }

        long start = machine.GetTimestamp();
        if (Probe(disk, folder).Failed(out DiskFault? fault))
        {
            return CheckLine.Wrong(Check, fault.ToString(), "A hub acknowledges only what is on the medium. Check owner, mount and medium.");
        }

        TimeSpan took = machine.GetElapsedTime(start);
        string words = string.Create(CultureInfo.InvariantCulture, $"{folder} can be written; a small file and its name were on the medium after {took.TotalMilliseconds:0.#} ms.");
        return disk.Space(folder) is { Fault: null, Value.Format: "tmpfs" or "ramfs" }
            ? CheckLine.Wrong(Check, $"{folder} lies in memory: it is empty after the next start of the machine.", "Name a folder on a disk.")
            : CheckLine.Right(Check, words);
    }

    private static DiskResult Probe(IDisk disk, string folder)
    {
        string path = Path.Combine(folder, ProbeName);
        byte[] written = "kitmesh"u8.ToArray();
        if (disk.Open(path, new DiskOpen(DiskOpenMode.Emptied, Writable: true)).Failed(out DiskFault? fault, out IDiskFile? file))
        {
            return fault;
        }

        using (file)
        {
            byte[] back = new byte[written.Length];
            DiskResult result = file.Write(0, written);
            result = result.Fault is null ? file.Sync() : result;
            result = result.Fault is null ? disk.SyncDirectory(folder) : result;
            if (result.Fault is null && (file.Read(0, back).Failed(out fault, out _) || !back.AsSpan().SequenceEqual(written)))
            {
                result = fault ?? new DiskFault(DiskFaultKind.InputOutput, "read back", path, "other bytes came back than were written");
            }

            DiskResult deleted = disk.Delete(path);
            return result.Fault is null ? deleted : result;
        }
    }
}
