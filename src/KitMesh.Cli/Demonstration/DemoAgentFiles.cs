using System.Globalization;
using KitMesh.Demo.Devices;
using KitMesh.Domain.Kit;

namespace KitMesh.Cli.Demonstration;

/// <summary>Writes the three agent files of the demo: the same shape as deploy/agent.*.example.yaml.</summary>
internal static class DemoAgentFiles
{
    public static string Power(DemoLayout layout, int hubPort, int modbusPort) => Write(layout, "base-power", $"""
        node: base-power
        data: base-power
        hubs: [http://127.0.0.1:{Number(hubPort)}]
        stateEvery: 2 h
        sendWait: 10 min
        packs:
          - name: base bank
            chemistry: lfp
            series: 4
            capacity: 200 Ah
        readers:
          - name: controller
            kind: sunspec
            host: 127.0.0.1
            port: {Number(modbusPort)}
            interval: 10 min
            currentSign: charge-positive
            battery: base bank
            panel: [base panel 1, base panel 2]
          - name: cells
            kind: one-wire
            root: {layout.Sysfs}/bus/w1/devices
            interval: 10 min
            sensors:
              - device: {SysfsTree.InnerProbe}
                battery: base bank
              - device: {SysfsTree.OuterProbe}
                battery: base bank
          - name: box
            kind: one-wire
            root: {layout.Sysfs}/bus/w1/devices
            interval: 30 min
            sensors:
              - device: {SysfsTree.InnerProbe}
                thermometer: base box
          - name: outside
            kind: hwmon
            root: {layout.Sysfs}/class/hwmon
            chip: outside
            interval: 30 min
            thermometer: base camp
            inputs:
              - input: temp1
                meaning: thermometer temperature
          - name: station battery
            kind: power-supply
            root: {layout.Sysfs}/class/power_supply
            supply: station
            interval: 30 min
            load: base station
        """);

    public static string Station(DemoLayout layout, int hubPort, IReadOnlyCollection<KitItem> kit)
    {
        string cards = string.Join("\n", kit.OfType<Card>().Select(card =>
            $"      - {{ name: {card.Id}, source: {card.Source}, folder: {Path.Combine(layout.Slots, DemoLayout.FolderName(card.Id.Value))} }}"));
        string drives = string.Join("\n", kit.OfType<Drive>().Select(drive =>
            $"      - {{ name: {drive.Id}, folder: {Path.Combine(layout.Drives, DemoLayout.FolderName(drive.Id.Value))}, prepare: true }}"));
        return Write(layout, "base-station", $"""
            node: base-station
            data: base-station
            hubs: [http://127.0.0.1:{Number(hubPort)}]
            stateEvery: 6 h
            sendWait: 1 min
            readers:
              - name: station
                kind: backup-station
                interval: 100 ms
                settle: 0 s
                retry: 30 s
                driveStateEvery: 12 h
                cards:
            {cards}
                drives:
            {drives}

            """);
    }

    public static string Phone(DemoLayout layout, int relayPort) => Write(layout, "ridge-phone", $"""
        node: ridge-phone
        data: ridge-phone
        hubs: [http://127.0.0.1:{Number(relayPort)}]
        stateEvery: 6 h
        sendWait: 10 min
        readers:
          - name: typed
            kind: typed
            folder: {layout.Inbox}
            interval: 30 min
        """);

    private static string Number(int value) => value.ToString(CultureInfo.InvariantCulture);

    private static string Write(DemoLayout layout, string node, string text)
    {
        string path = Path.Combine(layout.AgentFiles, node + ".yaml");
        File.WriteAllText(path, text + "\n");
        return path;
    }
}
