using System.Globalization;

namespace KitMesh.Cli.Commands.Offloading;

/// <summary>The most memory that this process held since <see cref="Forget"/>, as the kernel counts it (<c>VmHWM</c>).</summary>
/// <remarks>Source: proc(5), <c>/proc/pid/status</c>, and <c>/proc/pid/clear_refs</c>, where 5 sets the mark back.</remarks>
internal static class PeakMemory
{
    private const string Mark = "VmHWM:";

    /// <summary>Sets the mark to what is held now.</summary>
    public static void Forget()
    {
        try
        {
            File.WriteAllText("/proc/self/clear_refs", "5");
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // Then the peak is that of the whole run so far, which is no less than what was asked for.
        }
    }

    /// <summary>The peak in bytes; 0 where the system does not tell.</summary>
    public static long Bytes()
    {
        try
        {
            string? line = File.ReadLines("/proc/self/status").FirstOrDefault(text => text.StartsWith(Mark, StringComparison.Ordinal));
            return line is null ? 0 : long.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[1], CultureInfo.InvariantCulture) * 1024;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return 0;
        }
    }
}
