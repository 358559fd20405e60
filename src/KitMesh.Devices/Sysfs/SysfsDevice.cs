namespace KitMesh.Devices.Sysfs;

/// <summary>Finds devices of a kernel class.</summary>
internal static class SysfsDevice
{
    private const int MaxDevices = 1000;

    /// <summary>The folder whose file <c>name</c> says this; numbers of folders change from boot to boot.</summary>
    /// <param name="root">Folder of the class.</param>
    /// <param name="name">The device's name.</param>
    /// <returns>The folder, first in order when several have the name; null when none has.</returns>
    public static string? FindByName(string root, string name) =>
        !Directory.Exists(root)
            ? null
            : Directory.EnumerateDirectories(root)
                .Take(MaxDevices)
                .Order(StringComparer.Ordinal)
                .FirstOrDefault(folder => SysfsFile.Read(folder, "name") is SysfsFile.Text text && text.Value == name);
}
