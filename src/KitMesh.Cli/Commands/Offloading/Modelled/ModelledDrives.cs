using System.Diagnostics;
using System.Globalization;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Offloading.Modelled;

/// <summary>
/// A card and three drives, each served from memory by a program of its own that keeps one budget for reads and writes
/// (<see cref="DriveModel"/>), behind a loop device with direct I/O and ext4, so that everything above is real.
/// </summary>
internal sealed class ModelledDrives : IDisposable
{
    private static readonly ModelKind CardKind = new("card", ThrottledDrives.CardRead, ThrottledDrives.CardRead, 0, 0, 0);

    private readonly List<Served> _served = [];

    private ModelledDrives(IReadOnlyList<ModelKind> kinds) => Kinds = kinds;

    /// <summary>The drives' kinds.</summary>
    public IReadOnlyList<ModelKind> Kinds { get; }

    /// <summary>Where the card is mounted.</summary>
    public string Card => _served[0].Mount;

    /// <summary>Where the drives are mounted.</summary>
    public string[] Drives =>
    [
        .. _served.Skip(1).Zip(Kinds).SelectMany(pair => pair.Second.Folders == 1
            ? [pair.First.Mount]
            : Enumerable.Range(0, pair.Second.Folders).Select(i => Directory.CreateDirectory(Path.Combine(pair.First.Mount, ((char)('A' + i)).ToString())).FullName)),
    ];

    /// <summary>Makes them.</summary>
    /// <param name="root">An empty folder for mounts.</param>
    /// <param name="bytes">What they must hold.</param>
    /// <param name="kinds">One for each drive.</param>
    /// <param name="why">Why they cannot be made here.</param>
    public static ModelledDrives? Make(string root, long bytes, IReadOnlyList<ModelKind> kinds, out string why)
    {
        why = "";
        if (!File.Exists("/dev/fuse") || Environment.UserName != "root")
        {
            why = "needs root and /dev/fuse";
            return null;
        }

        var drives = new ModelledDrives(kinds);
        try
        {
            foreach (ModelKind kind in (ModelKind[])[CardKind, .. kinds])
            {
                drives.Add(root, bytes * kind.Folders, kind);
            }

            return drives;
        }
        catch (Exception fault) when (fault is CommandFault or IOException or UnauthorizedAccessException)
        {
            why = fault.Message;
            drives.Dispose();
            return null;
        }
    }

    /// <summary>The arithmetic floor: the slowest drive's, or the card's.</summary>
    /// <param name="bytes">Bytes of the card.</param>
    public double FloorSeconds(long bytes) => Math.Max((double)bytes / CardKind.ReadPerSecond, Kinds.Max(kind => kind.FloorSeconds(bytes)));

    /// <summary>Removes what is on the drives, at full speed.</summary>
    public void Empty()
    {
        foreach (string entry in Drives.SelectMany(Directory.GetFileSystemEntries).Where(entry => Path.GetFileName(entry) != "lost+found"))
        {
            if (Directory.Exists(entry))
            {
                Directory.Delete(entry, recursive: true);
            }
            else
            {
                File.Delete(entry);
            }
        }

        BenchTools.Run("sync");
    }

    /// <summary>Makes every drive take its time until disposed.</summary>
    public IDisposable Throttle()
    {
        _served.ForEach(one => one.Say("pace"));
        return new Freed(_served);
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        foreach (Served one in Enumerable.Reverse(_served))
        {
            one.Dispose();
        }
    }

    private void Add(string root, long bytes, ModelKind kind)
    {
        string folder = Directory.CreateDirectory(Path.Combine(root, string.Create(CultureInfo.InvariantCulture, $"model{_served.Count}"))).FullName;
        var one = new Served(folder, ((bytes * 5 / 4) + 300_000_000) / 4096 * 4096, kind);
        _served.Add(one);
        one.Start(Directory.CreateDirectory(Path.Combine(root, _served.Count == 1 ? "card" : string.Create(CultureInfo.InvariantCulture, $"M{_served.Count - 1}"))).FullName);
    }

    private sealed class Freed(List<Served> served) : IDisposable
    {
        public void Dispose() => served.ForEach(one => one.Say("free"));
    }

    private sealed class Served(string folder, long bytes, ModelKind kind) : IDisposable
    {
        private Process? _program;
        private string? _device;

        public string Mount { get; private set; } = "";

        public void Start(string mount)
        {
            string[] words =
            [
                "bench", "model-drive", "--folder", folder, "--bytes", Text(bytes), "--write", Text(kind.WritePerSecond), "--read", Text(kind.ReadPerSecond),
                "--seek", Text(kind.SeekMilliseconds), "--fast", Text(kind.FastBytes), "--slow", Text(kind.SlowPerSecond),
            ];
            _program = Process.Start(new ProcessStartInfo(Environment.ProcessPath!, words) { RedirectStandardInput = true, RedirectStandardOutput = true })!;
            if (_program.StandardOutput.ReadLine() != "ready")
            {
                throw CommandFault.BadInput("The program that serves a modelled drive did not start.");
            }

            string device = BenchTools.Run("losetup", "--find", "--show", "--direct-io=on", Path.Combine(folder, FuseImage.Name));
            _device = device;
            BenchTools.Run("mkfs.ext4", "-q", "-F", "-E", "lazy_itable_init=0,lazy_journal_init=0", device);
            BenchTools.Run("mount", device, mount);
            Mount = mount;
        }

        /// <summary>Tells the program something; it answers when it is so.</summary>
        public void Say(string word)
        {
            _program!.StandardInput.WriteLine(word);
            _program.StandardInput.Flush();
            _program.StandardOutput.ReadLine();
        }

        public void Dispose()
        {
            Try("umount", Mount);
            Try("losetup", "--detach", _device ?? "");
            Try("umount", folder);
            if (_program is not null)
            {
                // Its input ends, and so does it.
                _program.StandardInput.Close();
                _program.WaitForExit();
                _program.Dispose();
            }
        }

        private static void Try(string program, params string[] words)
        {
            try
            {
                BenchTools.Run(program, words);
            }
            catch (CommandFault)
            {
                // Half made: what is not there need not be taken away.
            }
        }

        private static string Text<T>(T number)
            where T : IFormattable => number.ToString(null, CultureInfo.InvariantCulture);
    }
}
