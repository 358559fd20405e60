using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Engine;
using NodaTime;

namespace KitMesh.TestKit.Offload;

/// <summary>A card folder and drive folders in a temporary place, and offloads between them. Files are real, clocks too.</summary>
public sealed class OffloadStage : IDisposable
{
    private readonly List<ReportBody> _reports = [];
    private ulong _ids = 0x1000;

    public OffloadStage(string? under = null)
    {
        Root = Directory.CreateTempSubdirectory("kitmesh-").FullName;
        if (under is not null)
        {
            Directory.Delete(Root);
            Root = Directory.CreateDirectory(Path.Combine(under, "stage")).FullName;
        }

        Card = Path.Combine(Root, "card");
        Directory.CreateDirectory(Card);
        Drives = [.. Enumerable.Range(1, 3).Select(i => Directory.CreateDirectory(Path.Combine(Root, $"D{i}")).FullName)];
    }

    public string Root { get; }

    public string Card { get; set; }

    public List<string> Drives { get; }

    public OffloadProgress Progress { get; private set; } = new();

    /// <summary>Called with each fact, to inject a fault at a moment.</summary>
    public Action<ReportBody>? OnReport { get; set; }

    /// <summary>Stops the offload.</summary>
    public CancellationToken Stop { get; set; }

    public IReadOnlyList<ReportBody> Reports => _reports;

    /// <summary>Bytes that no two files share and that never compress, from a number.</summary>
    public static byte[] Noise(int length, int seed)
    {
        byte[] bytes = new byte[length];
        ulong state = ((ulong)seed * 0x9E3779B97F4A7C15) + 1;
        for (int i = 0; i < length; i++)
        {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            bytes[i] = (byte)(state >> 32);
        }

        return bytes;
    }

    public string Put(string path, int length, int seed) => Put(path, Noise(length, seed));

    public string Put(string path, byte[] bytes)
    {
        string full = Path.Combine(Card, path);
        Directory.CreateDirectory(Path.GetDirectoryName(full)!);
        File.WriteAllBytes(full, bytes);
        File.SetLastWriteTimeUtc(full, new DateTime(2026, 2, 11, 16, 0, 0, DateTimeKind.Utc));
        return full;
    }

    public OffloadRequest Request() => new(
        Card, KitId.Parse("card h1"), KitId.Parse("visit 1"), KitId.Parse("hide camera"), [.. Drives.Select(root => new DriveTarget(root))], Drives.Count);

    public OffloadOutcome Run(Func<OffloadRequest, OffloadRequest>? change = null) => Try(change) switch
    {
        OffloadResult.Ran ran => ran.Outcome,
        OffloadResult.Refused refused => throw new InvalidOperationException(string.Join("; ", refused.Problems)),
        _ => throw new InvalidOperationException(),
    };

    public OffloadResult Try(Func<OffloadRequest, OffloadRequest>? change = null)
    {
        _reports.Clear();
        Progress = new OffloadProgress();
        var engine = new OffloadEngine(SystemClock.Instance, TimeProvider.System, () => _ids++);
        return engine.Run((change ?? (request => request))(Request()), Take, Progress, Stop);
    }

    /// <summary>Files of a drive, KitMesh's own left out, by path from its root.</summary>
    public static IReadOnlyDictionary<string, byte[]> FilesOf(string drive) => Directory
        .EnumerateFiles(drive, "*", SearchOption.AllDirectories)
        .Select(file => Path.GetRelativePath(drive, file))
        .Where(file => !file.StartsWith(DriveIdentity.Folder, StringComparison.Ordinal) && !file.Contains("ascmhl", StringComparison.Ordinal) && !file.StartsWith("salvaged", StringComparison.Ordinal))
        .ToDictionary(file => file, file => File.ReadAllBytes(Path.Combine(drive, file)), StringComparer.Ordinal);

    public static string[] PartialsOf(string drive) => Directory.GetFiles(Path.Combine(drive, DriveIdentity.Folder, "partial"));

    public void Dispose()
    {
        try
        {
            Directory.Delete(Root, recursive: true);
        }
        catch (IOException)
        {
            // A test that unmounted in the middle may leave a busy folder; the system's clean-up takes it.
        }
    }

    private void Take(ReportBody body)
    {
        _reports.Add(body);
        OnReport?.Invoke(body);
    }
}
