using KitMesh.Devices.BackupStation;
using KitMesh.Devices.Command;
using KitMesh.Devices.CsvLog;
using KitMesh.Devices.Hwmon;
using KitMesh.Devices.Iio;
using KitMesh.Devices.OneWire;
using KitMesh.Devices.PowerController;
using KitMesh.Devices.PowerSupply;
using KitMesh.Devices.RegisterMap;
using KitMesh.Devices.Typed;

namespace KitMesh.Devices;

/// <summary>Every kind of reader that an agent can run. A new kind is one line here.</summary>
public static class ReaderCatalogue
{
    /// <summary>The kinds, in the order of the documentation.</summary>
    public static IReadOnlyList<IReaderKind> All { get; } =
    [
        new SunSpecReaderKind(),
        new RegisterMapReaderKind(),
        new PowerSupplyReaderKind(),
        new HwmonReaderKind(),
        new IioReaderKind(),
        new OneWireReaderKind(),
        new BackupStationReaderKind(),
        new CommandReaderKind(),
        new CsvLogReaderKind(),
        new TypedReaderKind(),
    ];
}
