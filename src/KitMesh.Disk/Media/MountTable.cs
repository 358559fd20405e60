using System.Globalization;

namespace KitMesh.Disk.Media;

/// <summary>What is mounted where, as <c>/proc/self/mountinfo</c> tells.</summary>
public static class MountTable
{
    private const string MountInfo = "/proc/self/mountinfo";

    /// <summary>The mount that holds a path; null when the system does not tell.</summary>
    /// <param name="path">A full path.</param>
    public static Mount? Of(string path)
    {
        Mount? best = null;
        foreach (Mount mount in All())
        {
            bool holds = mount.Root == "/" || path == mount.Root || path.StartsWith($"{mount.Root}/", StringComparison.Ordinal);

            // Later lines lie over earlier ones.
            if (holds && (best is null || mount.Root.Length >= best.Root.Length))
            {
                best = mount;
            }
        }

        return best;
    }

    /// <summary>Every mount, in the order in which they were made.</summary>
    public static IReadOnlyList<Mount> All()
    {
        try
        {
            return [.. File.ReadLines(MountInfo).Select(Parse).OfType<Mount>()];
        }
        catch (IOException)
        {
            return [];
        }
    }

    /// <summary>Waits until something is mounted or unmounted, as the kernel tells (poll on the table; proc(5)). Blocks without using the processor.</summary>
    /// <param name="atMost">Gives up after this.</param>
    /// <returns>True when the table changed; false when the time passed or the system does not tell.</returns>
    public static unsafe bool WaitForChange(TimeSpan atMost)
    {
        const short Priority = 0x02;
        const short Error = 0x08;
        try
        {
            using FileStream table = new(MountInfo, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
            var entry = new SystemCalls.PollEntry { File = (int)table.SafeFileHandle.DangerousGetHandle(), Asked = Priority };
            return SystemCalls.Poll(&entry, 1, (int)Math.Clamp(atMost.TotalMilliseconds, 0, int.MaxValue)) > 0 && (entry.Told & (Priority | Error)) != 0;
        }
        catch (IOException)
        {
            return false;
        }
    }

    /// <summary>Reads one line of the table; null when it is none.</summary>
    /// <param name="line">The line; see proc(5), "mountinfo".</param>
    public static Mount? Parse(string line)
    {
        string[] fields = line.Split(' ');
        int dash = Array.IndexOf(fields, "-");
        if (dash < 6 || fields.Length < dash + 4)
        {
            return null;
        }

        bool readOnly = fields[5].Split(',').Contains("ro") || fields[dash + 3].Split(',').Contains("ro");
        return new Mount(Unescape(fields[4]), fields[dash + 1], Unescape(fields[dash + 2]), fields[2], readOnly);
    }

    private static string Unescape(string text)
    {
        for (int at = text.IndexOf('\\', StringComparison.Ordinal); at >= 0 && at + 3 < text.Length; at = text.IndexOf('\\', at + 1))
        {
            text = string.Concat(text.AsSpan(0, at), ((char)Convert.ToInt32(text.Substring(at + 1, 3), 8)).ToString(CultureInfo.InvariantCulture), text.AsSpan(at + 4));
        }

        return text;
    }
}
