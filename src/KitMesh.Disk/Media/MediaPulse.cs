namespace KitMesh.Disk.Media;

/// <summary>Lets somebody see whether a medium answers: each call to one, by the thread that asked for it, is told as it begins and as it returns.</summary>
public static class MediaPulse
{
    [ThreadStatic]
    private static IMediaListener? _listener;

    /// <summary>Who hears of this thread's calls; null for nobody.</summary>
    public static IMediaListener? Listener
    {
        get => _listener;
        set => _listener = value;
    }

    internal static void Calling() => _listener?.Calling();

    internal static void Returned() => _listener?.Returned();
}
