namespace KitMesh.Disk.Media;

/// <summary>Hears of the calls of one thread to a medium.</summary>
public interface IMediaListener
{
    /// <summary>A call begins.</summary>
    void Calling();

    /// <summary>It returned, well or not. What this throws ends whatever called the medium.</summary>
    void Returned();
}
