using System.Globalization;
using System.Runtime.InteropServices;

namespace KitMesh.Disk.Media;

/// <summary>A medium refused something. Callers at the rim turn it into a result; nobody prints it raw.</summary>
public sealed class MediaFault : IOException
{
    /// <summary>A refusal.</summary>
    /// <param name="what">What was tried, such as <c>read</c>.</param>
    /// <param name="path">On which path.</param>
    /// <param name="errno">The system's error number.</param>
    public MediaFault(string what, string path, int errno)
        : base(string.Create(CultureInfo.InvariantCulture, $"{what} of {RawName.Shown(path)}: {Marshal.GetPInvokeErrorMessage(errno)}"))
    {
        What = what;
        MediaPath = path;
        Errno = errno;
    }

    /// <summary>What was tried.</summary>
    public string What { get; }

    /// <summary>On which path.</summary>
    public string MediaPath { get; }

    /// <summary>The system's error number; see <see cref="Errno"/>'s names in <see cref="ErrorNumber"/>.</summary>
    public int Errno { get; }
}
